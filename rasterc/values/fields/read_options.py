"""Reading the options of fields from their arguments."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError, Span, did_you_mean
from rasterc.source.declarations import Table
from rasterc.source.message import Message
from rasterc.source.pieces import Argument, Word
from rasterc.values.fields.options import (
    First,
    Last,
    LookUp,
    Lower,
    NoPoints,
    Option,
    Pad,
    Part,
    Upper,
)

MAX_CHARACTERS = 1000  # what `first`, `last`, `from` and `pad` may ask for


class Context(Struct, frozen=True):
    """What reading options needs to know: the message, the field's language and kind.

    ``also_known`` are words that are no options but may have been meant.
    """

    message: Message
    language: str
    of_clock: bool = False
    also_known: tuple[str, ...] = ()


def read_options(
    arguments: Sequence[Argument], context: Context
) -> tuple[tuple[Option, ...], list[Diagnostic]]:
    """The options that arguments ask for, and every fault in them."""
    options: list[Option] = []
    faults: list[Diagnostic] = []
    for argument in arguments:
        try:
            option = _read(argument, context)
        except InputError as error:
            faults += error.diagnostics
        else:
            options += [option] if option else []
    return tuple(options), faults


def option_name(argument: Argument) -> str | None:
    """The option an argument asks for, None when it is something else."""
    return argument.words[0].text if argument.words and is_option(argument.words[0]) else None


def is_option(word: Word) -> bool:
    """Whether a word begins an option."""
    return word.text in _READERS and not word.quoted


def _read(argument: Argument, context: Context) -> Option | None:
    name = option_name(argument)
    if name is None:
        raise _unknown(argument, context)
    return _READERS[name](argument, context)


def _unknown(argument: Argument, context: Context) -> InputError:
    if not argument.raw:
        return InputError(())  # reported where arguments are split
    word = argument.words[0].text if argument.words else argument.raw
    help = did_you_mean(word, (*_READERS, *context.also_known))
    if context.of_clock:
        help += " (a comma inside a date pattern goes between apostrophes: ',')"
    return InputError.one("unknown-option", f'"{argument.raw}" is no option', argument.span, help)


def _words(argument: Argument, least: int, most: int, form: str) -> tuple[Word, ...]:
    """The words after the option's name, of which there must be so many."""
    words = argument.words[1:]
    if not least <= len(words) <= most:
        raise _bad(argument, form)
    return words


def _bad(argument: Argument, form: str, span: Span | None = None) -> InputError:
    name = argument.words[0].text
    message = f"the option `{name}` is written `{form}`"
    return InputError.one(
        "bad-option", message, span or argument.span, "options are separated by commas"
    )


def _number(word: Word) -> int:
    text = word.text
    plain = text.isascii() and text.isdigit() and not word.quoted and len(text) < 9
    if plain and 1 <= int(text) <= MAX_CHARACTERS:
        return int(text)
    message = f'"{text}" is no number of characters'
    raise InputError.one("bad-option", message, word.span, f"write 1 to {MAX_CHARACTERS}")


def _upper(argument: Argument, context: Context) -> Option:
    _words(argument, 0, 0, "upper")
    return Upper(context.language)


def _lower(argument: Argument, context: Context) -> Option:
    _words(argument, 0, 0, "lower")
    return Lower(context.language)


def _no_points(argument: Argument, _: Context) -> Option:
    _words(argument, 0, 0, "no-points")
    return NoPoints()


def _first(argument: Argument, _: Context) -> Option:
    return First(_number(_words(argument, 1, 1, "first 3")[0]))


def _last(argument: Argument, _: Context) -> Option:
    return Last(_number(_words(argument, 1, 1, "last 3")[0]))


def _part(argument: Argument, _: Context) -> Option:
    first, to, last = _words(argument, 3, 3, "from 2 to 4")
    if to.text != "to" or to.quoted:
        raise _bad(argument, "from 2 to 4", to.span)
    part = Part(_number(first), _number(last), argument.span)
    if part.last < part.first:
        message = f"from {part.first} to {part.last} runs backwards"
        raise InputError.one("bad-option", message, argument.span, "write the smaller one first")
    return part


def _pad(argument: Argument, _: Context) -> Option:
    form = 'pad 6 left "0"'
    width, *rest = _words(argument, 1, 3, form)
    side, fill = "left", " "
    if rest and not rest[0].quoted:
        side = rest.pop(0).text
    if rest and rest[0].quoted:
        fill = rest.pop(0).text
    if rest or side not in ("left", "right") or len(fill) != 1:
        raise _bad(argument, form)
    return Pad(_number(width), side == "left", fill)


def find_table(argument: Argument, message: Message) -> Table:
    """The table that ``table NAME`` names.

    Raises:
        InputError: there is none, or it is written differently; or, with no diagnostics, the table
            is in a gap of the message.
    """
    word = _words(argument, 1, 1, "table NAME")[0]
    if message.in_doubt(word.text) and not word.quoted:
        raise InputError(())
    if word.text in message.tables and not word.quoted:
        return message.tables[word.text]
    help = did_you_mean(word.text, message.tables) or "the message declares no table"
    raise InputError.one("unknown-name", f'there is no table "{word.text}"', word.span, help)


def _table(argument: Argument, context: Context) -> Option:
    table = find_table(argument, context.message)
    if table.every_minutes is None:
        return LookUp(table, argument.span)
    message = f"table {table.name} is read by the time of day, not by a text"
    help = f"read it from a clock, without a date pattern: packed(table {table.name})"
    raise InputError.one("wrong-table", message, argument.span, help)


def _language(argument: Argument, context: Context) -> None:
    """Read beforehand, as it holds for the whole field; only its place is checked here."""
    if not context.of_clock:
        message = "`in` gives the language of a date; this field is not a clock"
        raise InputError.one("bad-option", message, argument.span, "leave it out")


_CALENDARS = ("buddhist", "gregorian", "hijri", "japanese", "persian")


def _calendar(argument: Argument, context: Context) -> None:
    word = _words(argument, 1, 1, "calendar gregorian")[0]
    if not context.of_clock:
        message = "`calendar` is for dates; this field is not a clock"
        raise InputError.one("bad-option", message, argument.span, "leave it out")
    if word.text not in _CALENDARS:
        message = f'there is no calendar "{word.text}"'
        help = did_you_mean(word.text, _CALENDARS)
        raise InputError.one("unknown-calendar", message, word.span, help)
    if word.text != "gregorian":
        message = f'the {word.text} calendar needs the extra "calendars"'
        help = "this release does not ship it yet: leave the option out"
        raise InputError.one("needs-extra", message, word.span, help)


def language_of(arguments: Sequence[Argument]) -> tuple[Word | None, list[Diagnostic]]:
    """The language that ``in LANG`` among the arguments names, and faults in it."""
    found: list[Word] = []
    faults: list[Diagnostic] = []
    for argument in arguments:
        if option_name(argument) != "in":
            continue
        if len(argument.words) != 2:
            faults += _bad(argument, "in de").diagnostics
        elif found:
            message, help = "the language is given twice", "a field has one language"
            faults.append(Diagnostic("bad-option", message, argument.span, help))
        else:
            found.append(argument.words[1])
    return (found[0] if found else None), faults


_READERS: Mapping[str, Callable[[Argument, Context], Option | None]] = {
    "in": _language,
    "upper": _upper,
    "lower": _lower,
    "no-points": _no_points,
    "first": _first,
    "last": _last,
    "from": _part,
    "table": _table,
    "pad": _pad,
    "calendar": _calendar,
}

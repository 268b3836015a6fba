"""Reading clock fields: ``best(MMM yyyy, upper)``, ``packed(table quarter)``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import takewhile

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.source.message import Message
from rasterc.source.pieces import Argument, Field
from rasterc.values.dates.languages import Names, find_names
from rasterc.values.dates.patterns import parse_pattern
from rasterc.values.fields.kinds import ClockTable, ClockText, Source
from rasterc.values.fields.options import LookUp, NoPoints, Option
from rasterc.values.fields.read_options import (
    Context,
    find_table,
    is_option,
    language_of,
    option_name,
    read_options,
)


def read_clock_field(
    field: Field, message: Message, names: Names, faults: list[Diagnostic]
) -> tuple[Source | None, tuple[Option, ...]]:
    """What a clock field prints, and its options.

    Its first argument is a date pattern, unless it reads a table of times of day.
    """
    names = _language(field.arguments, names, faults)
    context = Context(message, names.language, of_clock=True)
    if has_pattern(field):
        return _by_pattern(field, context, names, faults)
    return _by_table(field, context, faults)


def _language(arguments: Sequence[Argument], names: Names, faults: list[Diagnostic]) -> Names:
    word, found = language_of(arguments)
    faults += found
    try:
        return find_names(word.text, word.span) if word else names
    except InputError as error:
        faults += error.diagnostics
        return names


def has_pattern(field: Field) -> bool:
    """Whether a field begins with a date pattern."""
    return bool(field.arguments) and option_name(field.arguments[0]) is None


def _by_pattern(
    field: Field, context: Context, names: Names, faults: list[Diagnostic]
) -> tuple[Source | None, tuple[Option, ...]]:
    first, *rest = field.arguments
    options, found = read_options(rest, context)
    faults += found
    # Before a table the text is the pattern's own: the points written there are wanted.
    own = tuple(takewhile(lambda option: not isinstance(option, LookUp), options))
    if NoPoints() in own:
        names = names.without_points()
        options = tuple(o for o in own if o != NoPoints()) + options[len(own) :]
    try:
        _refuse_missing_comma(first)
        _refuse_quoted(field.name, first, names)
        return ClockText(field.name, parse_pattern(first.raw, first.span, names)), options
    except InputError as error:
        faults += error.diagnostics
        return None, options


def _refuse_missing_comma(argument: Argument) -> None:
    """Refuse a pattern with an option behind it; raises `InputError`."""
    for word in argument.words[1:]:
        if is_option(word):
            message = f"a comma is missing before {word.text}"
            help = f"options are separated by commas: ..., {word.text}"
            raise InputError.one("missing-comma", message, word.span, help)


def _refuse_quoted(name: str, argument: Argument, names: Names) -> None:
    """Refuse a pattern that stands in quotes as a whole: it would print its own letters.

    Raises:
        InputError: it does. Quoted text that is no date pattern is left alone.
    """
    quoted = re.fullmatch(r"""(["'“”„‘’«])([^"'“”„‘’»]+)["'“”‘’»]""", argument.raw)
    if quoted is None:
        return
    try:
        shown = any(part.shows for part in parse_pattern(quoted[2], None, names).parts)
    except InputError:
        return
    if shown:
        message = "a date pattern stands without quotes"
        help = f"write the pattern bare: {name}({quoted[2]})"
        raise InputError.one("bad-date-pattern", message, argument.span, help)


def _by_table(
    field: Field, context: Context, faults: list[Diagnostic]
) -> tuple[Source | None, tuple[Option, ...]]:
    """A field without a date pattern; only one that reads a table of times may be so."""
    try:
        if field.arguments and option_name(field.arguments[0]) == "table":
            table = find_table(field.arguments[0], context.message)
            if table.every_minutes is not None:
                options, found = read_options(field.arguments[1:], context)
                faults += found
                source = ClockTable(field.name, table, field.arguments[0].span)
                return source, options
    except InputError as error:
        faults += error.diagnostics
        return None, ()
    faults.append(_no_pattern(field))
    _, found = read_options(field.arguments, context)
    faults += found
    return None, ()


def _no_pattern(field: Field) -> Diagnostic:
    message = f"clock {field.name} needs a date pattern, before any option"
    help = f"write {field.name}(dd.MM.yyyy) or {field.name}(HH:mm), say"
    return Diagnostic("missing-pattern", message, field.span, help)

"""From what is known of a text to what that tells of the text before options.

Each option of a field is undone: from a template of its result to the templates of the texts it
was applied to.

Capitals are undone letter by letter. `ß`, which becomes SS, is found where both S were read; beside
an unread letter or a cut (`first 2`) a text with `ß` may be missed, or given where it does not fit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache

from rasterc.diagnostics import InputError, Span
from rasterc.domain.templates import Lengths, Template, any_of, matcher
from rasterc.source.declarations import Table
from rasterc.values.fields import casing
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

_MAX_TEMPLATES = 10_000
_CASED_UP_TO = 0x1F000  # letters with another case have code points below


def applied(options: Sequence[Option], text: str) -> str | None:
    """The text after all options; None when one of them cannot take it."""
    try:
        for option in options:
            text = option.apply(text)
    except InputError:
        return None
    return text


def lengths_after(options: Sequence[Option], lengths: Lengths) -> Lengths:
    """Lengths that the result can have; some may not occur."""
    for option in options:
        lengths = frozenset(_length_after(option, lengths))
    return lengths


def _length_after(option: Option, lengths: Lengths) -> Iterator[int]:
    match option:
        case First(count) | Last(count):
            yield from (min(length, count) for length in lengths)
        case Part(first, last, _):
            yield from (last - first + 1 for length in lengths if length >= last)
        case Pad(width, _, _):
            yield from (max(length, width) for length in lengths)
        case LookUp(table, _):
            texts = [*table.rows.values(), *([] if table.other is None else [table.other])]
            yield from map(len, texts)
        case NoPoints():
            yield from range(max(lengths, default=0) + 1)
        case Upper() | Lower():  # a letter can become up to three
            yield from range(min(lengths, default=0), 3 * max(lengths, default=0) + 1)


def may_fail(options: Sequence[Option]) -> bool:
    """Whether some texts have no result."""
    return any(isinstance(option, LookUp | Part) for option in options)


def undone(options: Sequence[Option], template: Template, lengths: Lengths) -> list[Template]:
    """Templates of the texts, of any of these lengths, that the options turn into ``template``.

    Raises:
        InputError: an option cannot be undone.
    """
    found = [template]
    for number in reversed(range(len(options))):
        before = lengths_after(options[:number], lengths)
        found = [t for after in found for t in _before(options[number], after, before)]
        found = list(dict.fromkeys(found))
        if len(found) > _MAX_TEMPLATES:
            raise cannot_trace("too many texts give what was read", None)
    return [t for t in found if len(t) in lengths]


def cannot_trace(why: str, span: Span | None) -> InputError:
    """The report that a field is beyond what can be traced back."""
    help = "trace another line, or give more of this one"
    return InputError.one("cannot-trace", f"this cannot be traced back: {why}", span, help)


def _before(option: Option, after: Template, lengths: Lengths) -> Iterator[Template]:
    size = len(after)
    match option:
        case First(count):
            rest = _longer(size, count, lengths)
            yield from (after + any_of(n) for n in rest)
        case Last(count):
            yield from (any_of(n) + after for n in _longer(size, count, lengths))
        case Part(first, last, _):
            if size == last - first + 1:
                rest = (n - last for n in lengths if n >= last)
                yield from (any_of(first - 1) + after + any_of(n) for n in rest)
        case Pad():
            yield from _unpadded(option, after)
        case LookUp(table, span):
            yield from _keys(table, span, after, lengths)
        case Upper(language):
            yield from _uncased(after, _cases(language, upper=True))
        case Lower(language):
            yield from _uncased(after, _cases(language, upper=False))
        case NoPoints():
            raise cannot_trace("points were taken out of it", None)


def _longer(size: int, count: int, lengths: Lengths) -> Iterator[int]:
    """How many characters may have been cut off a text of which ``size`` are left."""
    if size < count:
        yield 0
    elif size == count:
        yield from (n - count for n in lengths if n >= count)


def _unpadded(pad: Pad, after: Template) -> Iterator[Template]:
    if len(after) >= pad.width:
        yield after
    if len(after) != pad.width:
        return
    left = after
    while left and _takes(left[0 if pad.on_left else -1], pad.fill):
        left = left[1:] if pad.on_left else left[:-1]
        yield left


def _takes(place: frozenset[str] | None, char: str) -> bool:
    return place is None or char in place


def _keys(table: Table, span: Span, after: Template, lengths: Lengths) -> Iterator[Template]:
    """The keys, with leading zeros when they are numbers, whose row fits ``after``."""
    fits = matcher(after)
    if table.other is not None and fits(table.other):
        raise cannot_trace(f"any text may be another key of table {table.name}", span)
    for key, text in table.rows.items():
        if not fits(text):
            continue
        number = key.isascii() and key.isdigit() and key == (key.lstrip("0") or "0")
        widths = lengths if number else (len(key),)
        for spelled in dict.fromkeys(key.rjust(n, "0") for n in widths if n >= len(key)):
            if spelled == key or spelled not in table.rows:
                yield tuple(map(frozenset, spelled))


_Cases = tuple[Mapping[str, frozenset[str]], Mapping[str, frozenset[str]]]


def _uncased(after: Template, cases: _Cases) -> Iterator[Template]:
    """Letters that become ``after``; of letters that become several only where all are read."""
    if not after:
        yield ()
        return
    place = _origins(after[0], cases[0])
    if place is None or place:
        yield from ((place, *rest) for rest in _uncased(after[1:], cases))
    for size in (2, 3):
        letters = _several(after[:size], cases[1])
        if letters:
            yield from ((letters, *rest) for rest in _uncased(after[size:], cases))


def _origins(
    place: frozenset[str] | None, single: Mapping[str, frozenset[str]]
) -> frozenset[str] | None:
    """The characters that become one of ``place``; characters without case stay as they are."""
    if place is None:
        return None
    return frozenset(origin for char in place for origin in single.get(char, (char,)))


def _several(places: Template, several: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """The letters that become as many characters as there are places, one of each."""
    known = [place for place in places if place is not None]
    if len(known) < len(places):
        return frozenset()
    fitting = (
        letters
        for result, letters in several.items()
        if len(result) == len(known)
        and all(char in place for char, place in zip(result, known, strict=True))
    )
    return frozenset().union(*fitting)


@cache
def _cases(language: str, upper: bool) -> _Cases:
    """By result: the letters that become one character, and those that become several."""
    change = casing.upper if upper else casing.lower
    single: dict[str, set[str]] = {}
    several: dict[str, set[str]] = {}
    for char in map(chr, range(_CASED_UP_TO)):
        if char.upper() != char or char.lower() != char:
            single.setdefault(char, set())
            result = change(char, language)
            (single if len(result) == 1 else several).setdefault(result, set()).add(char)
    return _frozen(single), _frozen(several)


def _frozen(sets: Mapping[str, set[str]]) -> Mapping[str, frozenset[str]]:
    return {key: frozenset(chars) for key, chars in sets.items()}

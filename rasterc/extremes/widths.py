"""The widths that the fields of a group can take together, and the texts of each width."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from rasterc.domain.atoms import Varying
from rasterc.domain.inputwords import OneLength, SomeTexts
from rasterc.extremes.clockgroup import ClockGroup, widths_by_clock
from rasterc.extremes.dategroup import DateGroup
from rasterc.extremes.group import Group
from rasterc.extremes.listgroup import ListGroup
from rasterc.extremes.meter import LineForm
from rasterc.extremes.shapegroup import ShapeGroup
from rasterc.extremes.tape import Tape
from rasterc.extremes.tapegroup import TapeGroup

MAX_SETTINGS = 100  # combinations of widths that are gone through
MAX_TEXTS = 2000  # texts of a counter or input that are sorted by their widths


@dataclass(frozen=True, slots=True)
class Option:
    """Widths that a group's fields can take together: of each atom, its places."""

    group: Group
    places: Mapping[Varying, tuple[int, ...]]


def widths_of(group: Group, forms: Sequence[LineForm]) -> list[Option] | None:
    """The widths of a group's fields; None when they are too many."""

    def strokes(atom: Varying, text: str) -> int:
        return sum(map(forms[atom.line].setter.advance, text))

    match group:
        case ClockGroup():
            rows = widths_by_clock(group, strokes, MAX_SETTINGS)
            if rows is None:
                return None
            return [Option(group, {a: (w,) for a, w in row.items()}) for row in rows]
        case DateGroup():
            return _date_options(group, strokes)
        case ListGroup():
            columns = [
                [strokes(atom, text) for text in texts]
                for atom, texts in zip(group.atoms, group.texts, strict=True)
            ]
            widths = dict.fromkeys(zip(*columns, strict=True))
            return [
                Option(group, {a: (w,) for a, w in zip(group.atoms, row, strict=True)})
                for row in widths
            ]
        case ShapeGroup():
            places = [{strokes(group.atom, c) for c in chars} for chars in group.shape.places]
            if not group.shape.fixed or any(len(some) > 1 for some in places):
                return None
            return [Option(group, {group.atom: tuple(some.pop() for some in places)})]
        case TapeGroup():
            return _tape_options(group, forms)
    return None


def _date_options(group: DateGroup, strokes: Callable[[Varying, str], int]) -> list[Option] | None:
    """Those of the clocks, if each date has one width."""
    rows = widths_by_clock(group.clocks, strokes, MAX_SETTINGS)
    printed = [one for date in group.dates for one in date.printed]
    own = {one.atom: {strokes(one.atom, text) for text in one.texts} for one in printed}
    if rows is None or any(len(widths) > 1 for widths in own.values()):
        return None
    fixed = {atom: tuple(widths) for atom, widths in own.items()}
    return [Option(group, {a: (w,) for a, w in row.items()} | fixed) for row in rows]


def _tape_options(group: TapeGroup, forms: Sequence[LineForm]) -> list[Option] | None:
    """One option for each length, if at every place all characters are equally wide; else one for
    each row of widths that the texts have, if there are few texts."""
    options: list[Option] = []
    few: bool | None = None
    for length in group.words.lengths():
        if any(refused.length == length for refused in group.refused):
            continue
        places = _places(group, forms, length, group.usable(length))
        if places is None:
            few = few if few is not None else group.words.count().number <= MAX_TEXTS
            if not few:
                return None
            options += _by_widths(group, forms, length)
            continue
        one = group.narrowed(OneLength(group.words, length))
        if one is not None:
            options.append(Option(one, places))
    return options


def _places(
    group: TapeGroup, forms: Sequence[LineForm], length: int, chars: Collection[str]
) -> dict[Varying, tuple[int, ...]] | None:
    """Widths of the places of each atom; None when they differ between characters."""
    places: dict[Varying, tuple[int, ...]] = {}
    for atom in group.atoms:
        advance = forms[atom.line].setter.advance
        widths: list[int] = []
        for element in Tape(length, frozenset(group.words.alphabet)).elements(atom):
            texts = [element] if isinstance(element, str) else map(element.text, chars)
            some = {sum(map(advance, text)) for text in texts}
            if len(some) > 1:
                return None
            widths += some
        places[atom] = tuple(widths)
    return places


def _by_widths(group: TapeGroup, forms: Sequence[LineForm], length: int) -> Iterator[Option]:
    """The texts of a length by their widths."""
    rows: dict[tuple[tuple[int, ...], ...], list[str]] = {}
    elements = [Tape(length, frozenset(group.words.alphabet)).elements(a) for a in group.atoms]
    for text in group.words.texts():
        if len(text) == length:
            widths = []
            for atom, some in zip(group.atoms, elements, strict=True):
                advance = forms[atom.line].setter.advance
                shown = (e if isinstance(e, str) else e.text(text[e.place]) for e in some)
                widths.append(tuple(sum(map(advance, part)) for part in shown))
            rows.setdefault(tuple(widths), []).append(text)
    for row, texts in rows.items():
        one = group.narrowed(SomeTexts(tuple(texts), group.words))
        if one is not None:
            yield Option(one, dict(zip(group.atoms, row, strict=True)))


def texts_of(group: Group) -> Iterator[tuple[Varying, Sequence[Sequence[str]]]]:
    """The texts of each atom of a group: as a whole, or character by character."""
    match group:
        case ClockGroup(work):
            for printed in (*work.by_cell, *work.by_minute):
                yield printed.atom, [printed.texts]
        case DateGroup(clocks, dates):
            yield from texts_of(clocks)
            yield from ((one.atom, [one.texts]) for date in dates for one in date.printed)
        case ListGroup():
            for atom, listed in zip(group.atoms, group.texts, strict=True):
                yield atom, [list(dict.fromkeys(listed))]
        case ShapeGroup():
            yield group.atom, [sorted(chars) for chars in group.shape.places]
        case TapeGroup(words=OneLength() | SomeTexts() as words):
            length = words.length
            alphabet = group.usable(length)
            for tape_atom in group.atoms:
                elements = Tape(length, frozenset(group.words.alphabet)).elements(tape_atom)
                texts = [
                    [e] if isinstance(e, str) else sorted({e.text(c) for c in alphabet})
                    for e in elements
                ]
                yield tape_atom, texts

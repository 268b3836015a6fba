"""How many distinct strings a message has."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import reduce

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Atom
from rasterc.domain.words import Count
from rasterc.extremes.clockgroup import ClockGroup
from rasterc.extremes.dategroup import DateGroup
from rasterc.extremes.group import Group
from rasterc.extremes.listgroup import ListGroup
from rasterc.extremes.shapegroup import ShapeGroup
from rasterc.extremes.tape import Tape
from rasterc.extremes.tapegroup import TapeGroup
from rasterc.extremes.touching import Extent, extent_of_texts, is_clear


def count_strings(groups: Iterable[Group], atoms: Sequence[Atom]) -> Count:
    """Distinct strings of the whole message; at most that many where it cannot be told.

    Groups vary freely, so texts multiply. Two values may still give one string where two fields
    of varying length stand side by side: "1" and "11" print the same as "11" and "1".
    """
    groups = list(groups)
    total = reduce(Count.times, (group.count() for group in groups), Count(1))
    extents: dict[Atom, Extent] = {}
    for group in groups:
        extents |= _extents(group)
    lines = sorted({atom.line for atom in atoms})
    clear = all(is_clear([a for a in atoms if a.line == line], extents) for line in lines)
    return total if clear else Count(total.number, exact=False)


def _extents(group: Group) -> dict[Atom, Extent]:
    match group:
        case ClockGroup(work):
            return {p.atom: extent_of_texts(p.texts) for p in (*work.by_cell, *work.by_minute)}
        case DateGroup(clocks, dates):
            printed = [one for date in dates for one in date.printed]
            return _extents(clocks) | {p.atom: extent_of_texts(p.texts) for p in printed}
        case ListGroup():
            pairs = zip(group.atoms, group.texts, strict=True)
            return {atom: extent_of_texts(set(texts)) for atom, texts in pairs}
        case ShapeGroup():
            shape = group.shape
            chars = frozenset[str]().union(*shape.places)
            return {group.atom: Extent(shape.least, len(shape.places), chars)}
        case TapeGroup():
            return _of_tape(group)
    return {}


def _of_tape(group: TapeGroup) -> dict[Atom, Extent]:
    alphabet = frozenset(group.words.alphabet)
    extents: dict[Atom, Extent] = {}
    for atom in group.atoms:
        lengths: list[int] = []
        chars: set[str] = set()
        for length in group.words.lengths():
            try:
                elements = Tape(length, alphabet).elements(atom)
            except InputError:
                continue
            lengths.append(len(elements))
            chars |= {element for element in elements if isinstance(element, str)}
            options = {e.options: e for e in elements if not isinstance(e, str)}
            for element in options.values():
                chars |= {c for char in alphabet for c in element.text(char)}
        extents[atom] = Extent(min(lengths, default=0), max(lengths, default=0), frozenset(chars))
    return extents

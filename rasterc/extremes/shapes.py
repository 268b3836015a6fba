"""What a text may look like at most: the characters that can stand at each place.

For fields that can be neither searched nor listed. Every text a field can print is of its shape;
other texts may be of it too, so what is worked out from shapes is a bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from rasterc.domain.words import Words
from rasterc.source.declarations import Shift, Table
from rasterc.values.fields.kinds import (
    CheckText,
    ClockTable,
    ClockText,
    CounterText,
    FieldPlan,
    InputText,
    JoinedText,
    Piece,
    ShiftText,
)
from rasterc.values.fields.options import First, Last, LookUp, Option, Pad, Part
from rasterc.values.model import Run

Chars = frozenset[str]


@dataclass(frozen=True, slots=True)
class Shape:
    """Texts of ``least`` to ``len(places)`` characters, each out of the set at its place."""

    places: tuple[Chars, ...]
    least: int

    @property
    def fixed(self) -> bool:
        """Whether all texts have the same length."""
        return self.least == len(self.places)

    def any_place(self) -> Chars:
        """All characters there are."""
        return frozenset().union(*self.places)


def shape_of_texts(texts: Iterable[str]) -> Shape:
    """The shape of some texts."""
    texts = list(texts)
    longest = max(map(len, texts), default=0)
    places = (frozenset(text[i] for text in texts if len(text) > i) for i in range(longest))
    return Shape(tuple(places), min(map(len, texts), default=0))


def joined(shapes: Iterable[Shape]) -> Shape:
    """The shape of texts of these shapes, one after another."""
    whole = Shape((), 0)
    for shape in shapes:
        longest = len(whole.places) + len(shape.places)
        places = [set[str]() for _ in range(longest)]
        for at, chars in enumerate(whole.places):
            places[at] |= chars
        for begin in range(whole.least, len(whole.places) + 1):
            for at, chars in enumerate(shape.places):
                places[begin + at] |= chars
        whole = Shape(tuple(map(frozenset, places)), whole.least + shape.least)
    return whole


@dataclass(frozen=True, slots=True)
class Shaper:
    """Works out shapes.

    ``of_clock`` gives the shape of a date, before the options of its field; ``words`` are the
    texts of the counter or input of a field.
    """

    of_clock: Callable[[ClockText], Shape]
    words: Callable[[FieldPlan], Words]
    shifts: Mapping[str, Shift]

    def field(self, field: FieldPlan) -> Shape:
        """The shape of a field."""
        shape = self._source(field)
        for option in field.options:
            shape = after(option, shape)
        return shape

    def _source(self, field: FieldPlan) -> Shape:
        match field.source:
            case JoinedText(_, pieces):
                return joined(self._piece(piece) for piece in pieces)
            case CheckText(_, algorithm, _):
                return Shape((frozenset(algorithm.results),) * algorithm.length, algorithm.length)
            case CounterText(_, width, fill):
                digits = self._words(self.words(field))
                return after(Pad(width, True, fill), digits) if width else digits
            case InputText():
                return self._words(self.words(field))
            case ClockText():
                return self.of_clock(field.source)
            case ClockTable(_, table, _):
                return _shape_of_table(table)
            case ShiftText(shift):
                return shape_of_texts(part.label for part in self.shifts[shift].parts)
        raise AssertionError(f"a source of another kind: {field.source}")

    def _piece(self, piece: Piece) -> Shape:
        return shape_of_texts([piece.text]) if isinstance(piece, Run) else self.field(piece)

    @staticmethod
    def _words(words: Words) -> Shape:
        lengths = list(words.lengths())
        chars = frozenset(words.alphabet)
        return Shape((chars,) * max(lengths, default=0), min(lengths, default=0))


def after(option: Option, shape: Shape) -> Shape:
    """The shape of texts of a shape, after an option."""
    places, least = shape.places, shape.least
    match option:
        case First(count):
            return Shape(places[:count], min(least, count))
        case Last(count):
            if shape.fixed:
                return Shape(places[-count:], min(least, count))
            return Shape((shape.any_place(),) * min(count, len(places)), min(least, count))
        case Part(first, last, _):
            return Shape(places[first - 1 : last], last - first + 1)
        case Pad(width, on_left, fill):
            return _padded(shape, width, on_left, fill)
        case LookUp(table, _):
            return _shape_of_table(table)
    return _mapped(option, shape)


def _shape_of_table(table: Table) -> Shape:
    return shape_of_texts([*table.rows.values(), *filter(None, [table.other])])


def _padded(shape: Shape, width: int, on_left: bool, fill: str) -> Shape:
    lacking = max(0, width - len(shape.places))
    filling = (frozenset(fill),) * lacking
    if shape.fixed:
        places = filling + shape.places if on_left else shape.places + filling
        return Shape(places, len(places))
    every = shape.any_place() | {fill}
    longest = max(width, len(shape.places))
    return Shape((every,) * longest, max(width, shape.least))


def _mapped(option: Option, shape: Shape) -> Shape:
    """After an option that changes characters, perhaps into several or none."""
    changed = [{option.apply(char) for char in chars} for chars in shape.places]
    if all(len(text) == 1 for texts in changed for text in texts):
        return Shape(tuple(map(frozenset, changed)), shape.least)
    every = frozenset("".join(text for texts in changed for text in texts))
    longest = sum(max(map(len, texts), default=0) for texts in changed)
    least = sum(min(map(len, texts), default=0) for texts in changed[: shape.least])
    return Shape((every,) * longest, least)


def number_of_texts(shape: Shape) -> int:
    """How many texts are of a shape."""
    total = product = 1 if shape.least == 0 else 0
    product = 1
    for number, chars in enumerate(shape.places, 1):
        product *= len(chars)
        if number >= shape.least:
            total += product
    return total

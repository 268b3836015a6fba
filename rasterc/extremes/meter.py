"""What is measured: weights of characters that add up over each line, and how lines combine.

A measure of a message is worked out from a vector with one number for each *slot*: the sum of the
weights of all characters of the lines in that slot. Lines share slot 0 where their sums simply
add; a line whose length competes with others of its block has a slot of its own. The total never
falls when a slot rises, so of two vectors that differ in one slot the larger gives the larger.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.atoms import Varying
from rasterc.extremes.columns import Column
from rasterc.fonts.model import Font
from rasterc.layout import Composer
from rasterc.layout.lines import LineSetter
from rasterc.source.message import Line, Picture
from rasterc.values import Plan
from rasterc.values.plan import LinePlan

Vectors = NDArray[np.int64]
"""Shape (n, slots)."""

_ONE = 1 << 24  # a stroke, in slots that also count characters in the lower bits


@dataclass(frozen=True, slots=True)
class LineForm:
    """A line as the measures see it: its setter, block, and text that is always there."""

    line: Line
    setter: LineSetter
    block: int
    literal: str

    @property
    def inverse(self) -> bool:
        """Whether it prints what its characters leave out."""
        return self.line.inverse

    @property
    def always_prints(self) -> bool:
        """Whether literal text keeps the line from being empty or of no length."""
        return any(self.setter.advance(char) > self.setter.trailing for char in self.literal)


@dataclass(frozen=True, slots=True)
class Place:
    """Where characters stand: in a line, and from some stroke on where that matters.

    ``standing`` is a number a measure gives to what can stand there, 0 for literal text.
    """

    line: int
    stroke: int = 0
    strokes: int = 0
    standing: int = 0


@dataclass
class Meter:
    """One measure of one message.

    Attributes:
        name: what it is called.
        weights: the weight of one character of a line.
        slot: the slot of each line.
        counts: for each line, whether its slot also counts characters (see `_ONE`).
        base: what the message comes to without its characters.
        parts: what slots of competing lines add to the total: a function of the vectors.
        slots: how many there are.
    """

    name: str
    weights: Sequence[Callable[[str], int]]
    slot: Sequence[int]
    counts: Sequence[bool]
    base: int = 0
    parts: Sequence[Callable[[Vectors], NDArray[np.int64]]] = ()
    slots: int = 1

    by_place: ClassVar[bool] = False
    """Whether a weight depends on where in its field a character stands."""

    def __post_init__(self) -> None:
        self.weights = [cache(weight) for weight in self.weights]

    def place(self, atom: Varying, _index: int | None = None, /) -> Place:
        """Where a text stands that is all of an atom's, or is that of one of its characters: all
        that its weight needs."""
        return Place(atom.line)

    def passes_by(self, _: Varying, /) -> bool:
        """Whether an atom adds nothing, whatever it prints."""
        return False

    def weigh(self, place: Place, text: str) -> int:
        """What a text adds to the slot of its line."""
        line = place.line
        weight = self.weights[line]
        total = sum(map(weight, text))
        return total * _ONE + len(text) if self.counts[line] else total

    def weigh_all(self, place: Place, column: Column) -> NDArray[np.int64]:
        """What each distinct text of a column adds."""
        if type(self).weigh is not Meter.weigh:
            return np.array([self.weigh(place, text) for text in column.texts], dtype=np.int64)
        total = column.sums(self.weights[place.line])
        return total * _ONE + column.lengths if self.counts[place.line] else total

    def only(self, slot: int) -> Meter:
        """The sums of one slot alone."""
        mine = [own == slot for own in self.slot]
        weights = [
            w if is_mine else _nothing for w, is_mine in zip(self.weights, mine, strict=True)
        ]
        counts = [c and is_mine for c, is_mine in zip(self.counts, mine, strict=True)]
        return Meter(f"{self.name} {slot}", weights, [0] * len(mine), counts)

    def total(self, vectors: Vectors) -> NDArray[np.int64]:
        """The measure of each vector, shape (n,)."""
        total = vectors[:, 0] + self.base
        for part in self.parts:
            total = total + part(vectors)
        return total


def _nothing(_: str) -> int:
    return 0


def line_forms(
    plan: Plan, fonts: Mapping[str, Font], composer: Composer, literals: Sequence[str]
) -> list[LineForm]:
    """The forms of all lines; ``literals`` is the text that each always prints."""
    forms: list[LineForm] = []
    for number, block in enumerate(plan.blocks):
        for line in _lines(block.content):
            setter = composer.setter(fonts[line.line.font], line.line)
            forms.append(LineForm(line.line, setter, number, literals[len(forms)]))
    return forms


def _lines(content: tuple[LinePlan, ...] | Picture) -> tuple[LinePlan, ...]:
    return () if isinstance(content, Picture) else content


def strokes_meter(plan: Plan, forms: Sequence[LineForm], composer: Composer) -> Meter:
    """Strokes of the whole code: blocks add up, of the lines in a block the longest counts."""
    slot, counts = [0] * len(forms), [False] * len(forms)
    parts: list[Callable[[Vectors], NDArray[np.int64]]] = []
    of_block = [[i for i, f in enumerate(forms) if f.block == n] for n in range(len(plan.blocks))]
    alone = [mine[0] for mine in of_block if len(mine) == 1 and forms[mine[0]].always_prints]
    base, slots = 0, 1
    for mine, block in zip(of_block, plan.blocks, strict=True):
        base += block.block.gap
        if isinstance(block.content, Picture):
            base += len(composer.picture(block.content, plan.message.folder)[0])
        elif mine and mine[0] in alone:
            setter = forms[mine[0]].setter
            base += 2 * setter.margin - setter.trailing
        elif mine:
            for i in mine:
                slot[i], counts[i], slots = slots, not forms[i].always_prints, slots + 1
            parts.append(_longest([(slot[i], counts[i], forms[i].setter) for i in mine]))
    weights = [form.setter.advance for form in forms]
    return Meter("strokes", weights, slot, counts, base, parts, slots)


def _longest(
    lines: Sequence[tuple[int, bool, LineSetter]],
) -> Callable[[Vectors], NDArray[np.int64]]:
    """Strokes of a block from the slots of its lines."""

    def strokes(vectors: Vectors) -> NDArray[np.int64]:
        lengths = [
            _length(vectors[:, slot], counts, setter.trailing, setter.margin)
            for slot, counts, setter in lines
        ]
        longest: NDArray[np.int64] = np.max(lengths, axis=0)
        return longest

    return strokes


def _length(sums: NDArray[np.int64], counts: bool, trailing: int, margin: int) -> NDArray[np.int64]:
    """As `LineSetter.length`."""
    if not counts:
        return sums - trailing + 2 * margin
    strokes, characters = sums // _ONE, sums % _ONE
    return np.where(characters > 0, np.maximum(strokes - trailing, 0) + 2 * margin, 0)


def drops_meter(plan: Plan, forms: Sequence[LineForm], composer: Composer) -> Meter:
    """Printed drops of the whole code. An inverse line prints what its characters leave out."""
    slot, counts = [0] * len(forms), [False] * len(forms)
    parts: list[Callable[[Vectors], NDArray[np.int64]]] = []
    slots = 1
    for i, form in enumerate(forms):
        if form.inverse:
            slot[i], counts[i], slots = slots, True, slots + 1
            parts.append(_inverse_drops(slot[i], form.setter))
    base = 0
    for block in plan.blocks:
        if isinstance(block.content, Picture):
            columns, rows = composer.picture(block.content, plan.message.folder)
            drops = sum(column.bit_count() for column in columns)
            base += rows * len(columns) - drops if block.content.inverse else drops
    weights = [_drops_left_out(f.setter) if f.inverse else _drops(f.setter) for f in forms]
    return Meter("drops", weights, slot, counts, base, parts, slots)


def drops_of(setter: LineSetter, char: str) -> int:
    """Drops of a character in a line's style; 0 when the font lacks it."""
    if char not in setter.font.glyphs:
        return 0
    return sum(column.bit_count() for column in setter.columns(char))


def _drops(setter: LineSetter) -> Callable[[str], int]:
    return lambda char: drops_of(setter, char)


def _drops_left_out(setter: LineSetter) -> Callable[[str], int]:
    return lambda char: setter.rows * setter.advance(char) - drops_of(setter, char)


def _inverse_drops(slot: int, setter: LineSetter) -> Callable[[Vectors], NDArray[np.int64]]:
    """Full strokes less the characters' drops, and a full stroke at either end."""

    def drops(vectors: Vectors) -> NDArray[np.int64]:
        left, characters = vectors[:, slot] // _ONE, vectors[:, slot] % _ONE
        inside = np.maximum(left - setter.rows * setter.trailing, 0)
        return np.where(characters > 0, inside + 2 * setter.rows, 0)

    return drops


def sum_meter(name: str, weights: Sequence[Callable[[str], int]]) -> Meter:
    """A measure that simply adds up over all characters."""
    return Meter(name, weights, [0] * len(weights), [False] * len(weights))


def characters_meter(_: Plan, forms: Sequence[LineForm], __: Composer) -> Meter:
    """Characters of all lines."""
    return sum_meter("characters", [lambda _: 1] * len(forms))


def unprintable_meter(forms: Sequence[LineForm]) -> Meter:
    """Characters that a line's font lacks, or that are too wide for its tower."""

    def weight(setter: LineSetter) -> Callable[[str], int]:
        glyphs = setter.font.glyphs
        return lambda char: int(char not in glyphs or bool(setter.too_wide(char)))

    return sum_meter("unprintable characters", [weight(form.setter) for form in forms])

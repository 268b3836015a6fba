"""Searching all texts of a counter or input, character by character."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.extremes.atoms import Whole
from rasterc.extremes.group import HIGHEST
from rasterc.extremes.meter import Meter, Place, Vectors
from rasterc.extremes.tape import Placed, Tape
from rasterc.extremes.words import State, Words
from rasterc.values.options import Option

Vector = tuple[int, ...]
Column = Mapping[str, Vector]
"""What each character adds at one place of the text; characters that cannot stand are missing."""

Shown = tuple[Place, tuple[Option, ...]]
"""Where a character of the text is printed, and the options it goes through."""


class PlaceSearch:
    """The vectors of one meter over all texts, by dynamic programming from their ends.

    With one slot only the best sum of each state is kept: nothing else can lead to the best.
    """

    def __init__(
        self, words: Words, atoms: Sequence[Whole], meter: Meter, sense: int, avoid: Meter | None
    ) -> None:
        self.words = words
        self.atoms = atoms
        self.meter = meter
        self.best = (max if sense == HIGHEST else min) if meter.slots == 1 else None
        self.avoid = avoid
        self._known: dict[tuple[State, int], frozenset[Vector]] = {}
        self._added: dict[tuple[int, str], frozenset[Vector]] = {}
        self._by_prints: dict[tuple[Shown, ...], Column] = {}
        self._tails: dict[tuple[int, int], int] = {}
        self._lengths: dict[int, tuple[Vector, list[Column], list[int]]] = {}

    def vectors(self) -> Vectors:
        """Distinct vectors, ascending; the best alone with one slot."""
        found: set[Vector] = set()
        for length in self.words.lengths():
            setting = self._set(length)
            if setting is not None:
                base, columns, tails = setting
                rest = self._sums(self.words.start(length), columns, tails, 0)
                found |= {_plus(base, vector) for vector in rest}
        if self.best and found:
            found = {self.best(found)}
        rows = np.array(sorted(found), dtype=np.int64)
        return rows.reshape(len(found), self.meter.slots)

    def usable(self, length: int) -> frozenset[str]:
        """Characters that may stand somewhere in texts of a length."""
        setting = self._set(length)
        columns: list[Column] = setting[1] if setting else []
        return frozenset().union(*columns)

    def count(self) -> int:
        """How many texts there are."""
        known: dict[tuple[State, int], int] = {}

        def texts(state: State, columns: list[Column], tails: list[int], place: int) -> int:
            left = len(columns) - place
            if left == 0:
                return int(self.words.ends(state))
            key = state, tails[place]
            if key not in known:
                known[key] = sum(
                    sum(char in columns[place] for char in chars)
                    * texts(to, columns, tails, place + 1)
                    for chars, to in self.words.moves(state, left)
                )
            return known[key]

        lengths = [(length, self._set(length)) for length in self.words.lengths()]
        return sum(texts(self.words.start(n), s[1], s[2], 0) for n, s in lengths if s is not None)

    def first(self, wanted: Vectors) -> tuple[str, Vector]:
        """The first text that adds one of the wanted vectors, and that vector."""
        for length in self.words.lengths():
            setting = self._set(length)
            if setting is None:
                continue
            base, columns, tails = setting
            targets = {_minus(tuple(row), base) for row in wanted.tolist()}
            state = self.words.start(length)
            if targets & self._sums(state, columns, tails, 0):
                text, vector = self._walk(state, columns, tails, targets)
                return text, _plus(base, vector)
        raise AssertionError("the vectors wanted are among those found")

    def _walk(
        self, state: State, columns: list[Column], tails: list[int], targets: set[Vector]
    ) -> tuple[str, Vector]:
        text, vector = "", (0,) * self.meter.slots
        for place, column in enumerate(columns):
            moves = self.words.moves(state, len(columns) - place)
            to = {char: after for chars, after in moves for char in chars}
            for char in self.words.alphabet:
                if char not in to or char not in column:
                    continue
                rest = {_minus(target, column[char]) for target in targets}
                rest &= self._sums(to[char], columns, tails, place + 1)
                if rest:
                    text, state, targets = text + char, to[char], rest
                    vector = _plus(vector, column[char])
                    break
        return text, vector

    def _sums(
        self, state: State, columns: list[Column], tails: list[int], place: int
    ) -> frozenset[Vector]:
        """What the text can add from a place on. ``tails`` tells equal remainders of columns."""
        left = len(columns) - place
        if left == 0:
            zero = (0,) * self.meter.slots
            return frozenset([zero] if self.words.ends(state) else [])
        key = state, tails[place]
        if key not in self._known:
            found: set[Vector] = set()
            for chars, to in self.words.moves(state, left):
                rest = self._sums(to, columns, tails, place + 1)
                if rest:
                    for added in self._adding(columns[place], chars):
                        found |= {_plus(added, vector) for vector in rest}
            self._known[key] = frozenset([self.best(found)] if self.best and found else found)
        return self._known[key]

    def _adding(self, column: Column, chars: str) -> frozenset[Vector]:
        """The distinct vectors that characters add at a place."""
        key = id(column), chars
        if key not in self._added:
            found = {column[char] for char in chars if char in column}
            self._added[key] = frozenset([self.best(found)] if self.best and found else found)
        return self._added[key]

    def _set(self, length: int) -> tuple[Vector, list[Column], list[int]] | None:
        """What is always added at this length, the columns, and a number for each remainder."""
        if length not in self._lengths:
            try:
                base, columns = self._weigh(length)
            except InputError:
                return None
            tails, tail = [], 0
            for column in reversed(columns):
                tail = self._tails.setdefault((id(column), tail), len(self._tails) + 1)
                tails.append(tail)
            self._lengths[length] = base, columns, tails[::-1]
        return self._lengths[length]

    def _weigh(self, length: int) -> tuple[Vector, list[Column]]:
        tape = Tape(length, frozenset(self.words.alphabet))
        base = [0] * self.meter.slots
        prints: list[list[Shown]] = [[] for _ in range(length)]
        for atom in self.atoms:
            for index, element in enumerate(tape.elements(atom)):
                place = self.meter.place(atom, index)
                if isinstance(element, str):
                    base[self.meter.slot[atom.line]] += self.meter.weigh(place, element)
                else:
                    prints[element.place].append((place, element.options))
        return tuple(base), [self._column(tuple(shown)) for shown in prints]

    def _column(self, prints: tuple[Shown, ...]) -> Column:
        """What each character adds that is printed at these places, after these options."""
        if prints not in self._by_prints:
            column: dict[str, Vector] = {}
            for char in self.words.alphabet:
                texts = [(place, Placed(0, options).text(char)) for place, options in prints]
                if self.avoid is None or not any(self.avoid.weigh(*text) for text in texts):
                    added = [0] * self.meter.slots
                    for place, text in texts:
                        added[self.meter.slot[place.line]] += self.meter.weigh(place, text)
                    column[char] = tuple(added)
            self._by_prints[prints] = column
        return self._by_prints[prints]


def _plus(some: Vector, more: Vector) -> Vector:
    return tuple(a + b for a, b in zip(some, more, strict=True))


def _minus(some: Vector, less: Vector) -> Vector:
    return tuple(a - b for a, b in zip(some, less, strict=True))

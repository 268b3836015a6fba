"""What the fields of one counter or input add to a measure, over all its texts."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rasterc.domain.weighing import Column, Setting, Vector, Weighing, minus, plus
from rasterc.domain.words import Count, Counting, Words, total
from rasterc.extremes.meter import Meter, Place, Vectors
from rasterc.extremes.tape import Placed, Printed, Tapes
from rasterc.values.fields.options import Option

Shown = tuple[Place, tuple[Option, ...]]
"""Where a character of the text is printed, and the options it goes through."""


class PlaceSearch:
    """The vectors of one meter over all texts, see `Weighing`: what each character weighs at each
    place is the sum over all fields that print it."""

    def __init__(
        self, words: Words, tapes: Tapes, meter: Meter, sense: int, avoid: Meter | None
    ) -> None:
        self.words = words
        self.tapes = tapes
        self.meter = meter
        self.sense = sense
        self.avoid = avoid
        self._weighing = Weighing(words, sense, meter.slots)
        self._by_prints: dict[tuple[Shown, ...], Column] = {}
        self._by_kind: dict[int, Column] = {}
        self._tails: dict[tuple[int, int], int] = {}
        self._lengths: dict[int, Setting | None] = {}

    def vectors(self) -> Vectors:
        """Distinct vectors, ascending; the best alone with one slot.

        Raises:
            TooManyVectorsError: there are more than can be gone through.
        """
        found: set[Vector] = set()
        for length, setting in self._settings():
            found |= self._weighing.vectors(length, setting)
        if self.meter.slots == 1 and found:
            found = {max(found, key=lambda vector: self.sense * vector[0])}
        rows = np.array(sorted(found), dtype=np.int64)
        return rows.reshape(len(found), self.meter.slots)

    def usable(self, length: int) -> frozenset[str]:
        """Characters that may stand somewhere in texts of a length."""
        setting = self._set(length)
        return frozenset().union(*(setting.columns if setting else ()))

    def count(self) -> Count:
        """How many texts there are."""
        counting, settings = Counting(self.words), list(self._settings())
        chars = {id(column): frozenset(column) for column in self._by_prints.values()}
        return total(
            counting.texts(length, [chars[id(column)] for column in setting.columns])
            for length, setting in settings
        )

    def first(self, wanted: Vectors) -> tuple[str, Vector]:
        """The first text that adds one of the wanted vectors, and that vector."""
        for length, setting in self._settings():
            targets = {minus(tuple(row), setting.base) for row in wanted.tolist()}
            begin = 1 << self.words.start(length)
            if self._weighing.leading(begin, setting, 0, targets):
                text, vector = self._weighing.walk(begin, setting, targets)
                return text, plus(setting.base, vector)
        raise AssertionError("the vectors wanted are among those found")

    def _settings(self) -> Iterator[tuple[int, Setting]]:
        """The lengths of which texts can be printed."""
        for length in self.words.lengths():
            setting = self._set(length)
            if setting is not None:
                yield length, setting

    def _set(self, length: int) -> Setting | None:
        if length not in self._lengths:
            printed = self.tapes.printed(length)
            self._lengths[length] = None if printed is None else self._weigh(printed)
        return self._lengths[length]

    def _weigh(self, printed: Printed) -> Setting:
        base = [0] * self.meter.slots
        for atom, index, text in printed.always:
            place = self.meter.place(atom, index)
            base[self.meter.slot[atom.line]] += self.meter.weigh(place, text)
        if not self.meter.by_place:
            columns = [self._column_of(kind) for kind in printed.kinds]
            return Setting(tuple(base), columns, printed.tails)
        place_of = self.meter.place
        columns = [
            self._column(tuple((place_of(atom, index), options) for atom, index, options in shown))
            for shown in printed.shown
        ]
        tails, tail = [0], 0
        for column in reversed(columns):
            tail = self._tails.setdefault((id(column), tail), len(self._tails) + 1)
            tails.append(tail)
        return Setting(tuple(base), columns, tails[::-1])

    def _column_of(self, kind: int) -> Column:
        """The column of places that are printed in the same way, wherever they stand."""
        if kind not in self._by_kind:
            prints = self.tapes.kinds[kind]
            shown = tuple((self.meter.place(atom), options) for atom, options in prints)
            self._by_kind[kind] = self._column(shown)
        return self._by_kind[kind]

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

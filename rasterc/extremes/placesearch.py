"""Searching all texts of a counter or input, character by character.

What a text adds to a measure is a sum over its places, so the most or the least is a path through
the automaton of the texts, found from their ends, whatever the number of texts.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.words import Count, Counting, Words, total
from rasterc.extremes.group import TooManyVectorsError
from rasterc.extremes.meter import Meter, Place, Vectors
from rasterc.extremes.tape import Placed, Printed, Tapes
from rasterc.values.fields.options import Option
from rasterc.values.given.automaton import States, members

Vector = tuple[int, ...]
Column = Mapping[str, Vector]
"""What each character adds at one place of the text; characters that cannot stand are missing."""

Sums = NDArray[np.int64]
"""The best sum from each state on, the more the better; `_NEVER` where no text can go on."""

Shown = tuple[Place, tuple[Option, ...]]
"""Where a character of the text is printed, and the options it goes through."""

_MAX_HELD = 100_000  # vectors of a meter with several slots that are added one by one
_NEVER = -(1 << 60)
_DEAD = _NEVER // 2  # sums below have some `_NEVER` in them


@dataclass(frozen=True, slots=True)
class _Setting:
    """Texts of one length: what they always add, the columns of their places, and a number for
    each remainder of columns, so that equal ones are searched once."""

    base: Vector
    columns: Sequence[Column]
    tails: Sequence[int]


class PlaceSearch:
    """The vectors of one meter over all texts, by dynamic programming from their ends.

    With one slot only the best sum of each state is kept: nothing else can lead to the best.
    """

    def __init__(
        self, words: Words, tapes: Tapes, meter: Meter, sense: int, avoid: Meter | None
    ) -> None:
        self.words = words
        self.tapes = tapes
        self.meter = meter
        self.sense = sense
        self.avoid = avoid
        self._best: dict[int, Sums] = {}
        self._sets: dict[tuple[int, int], frozenset[Vector]] = {}
        self._held = 0
        self._weights: dict[tuple[int, int], Sums] = {}
        self._added: dict[tuple[int, str], frozenset[Vector]] = {}
        self._by_prints: dict[tuple[Shown, ...], Column] = {}
        self._by_kind: dict[int, Column] = {}
        self._tails: dict[tuple[int, int], int] = {}
        self._lengths: dict[int, _Setting | None] = {}

    def vectors(self) -> Vectors:
        """Distinct vectors, ascending; the best alone with one slot.

        Raises:
            TooManyVectorsError: there are more than can be gone through.
        """
        found: set[Vector] = set()
        for length, setting in self._settings():
            start = self.words.start(length)
            if self.meter.slots > 1:
                rest = self._reached(start, setting, 0)
                found |= {_plus(setting.base, vector) for vector in rest}
            elif (best := int(self._sums(setting, 0)[start])) > _DEAD:
                found.add((setting.base[0] + self.sense * best,))
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
            targets = {_minus(tuple(row), setting.base) for row in wanted.tolist()}
            begin = 1 << self.words.start(length)
            if self._leading(begin, setting, 0, targets):
                text, vector = self._walk(begin, setting, targets)
                return text, _plus(setting.base, vector)
        raise AssertionError("the vectors wanted are among those found")

    def _walk(self, states: States, setting: _Setting, targets: set[Vector]) -> tuple[str, Vector]:
        """The first text from some states on, all reached by one text, that adds a target."""
        text, vector = "", (0,) * self.meter.slots
        for place, column in enumerate(setting.columns):
            layer = self.words.layer(len(setting.columns) - place)
            for char, labels in layer.chars.items():
                if char not in column:
                    continue
                rest = {_minus(target, column[char]) for target in targets}
                after = layer.step(states, labels)
                after = self._leading(after, setting, place + 1, rest)
                if after:
                    text, states = text + char, after
                    targets, vector = rest, _plus(vector, column[char])
                    break
        return text, vector

    def _leading(
        self, states: States, setting: _Setting, place: int, targets: set[Vector]
    ) -> States:
        """Those states from which some text adds a target from a place on."""
        if self.meter.slots > 1:
            return sum(
                1 << state
                for state in members(states)
                if not targets.isdisjoint(self._reached(state, setting, place))
            )
        sums = self._sums(setting, place)
        best = {self.sense * target[0] for target in targets}
        return sum(1 << state for state in members(states) if int(sums[state]) in best)

    def _sums(self, setting: _Setting, place: int) -> Sums:
        """The best sum from each state on, from a place on; of a meter with one slot."""
        tail, left = setting.tails[place], len(setting.columns) - place
        if tail not in self._best:
            self._best[tail] = self._ends() if left == 0 else self._over(setting, place)
        return self._best[tail]

    def _ends(self) -> Sums:
        ends = self.words.ends()
        size = ends.bit_length()
        if self.words.lengths()[-1]:
            size = max(size, int(self.words.layer(1).edges.to.max(initial=0)) + 1)
        sums = np.full(size, _NEVER, dtype=np.int64)
        sums[list(members(ends))] = 0
        return sums

    def _over(self, setting: _Setting, place: int) -> Sums:
        column, layer = setting.columns[place], self.words.layer(len(setting.columns) - place)
        weights = self._weigh_labels(column, layer.labels)
        sums = np.full(layer.size, _NEVER, dtype=np.int64)
        edges = layer.edges
        if len(edges.to):
            ahead = weights[edges.label] + self._sums(setting, place + 1)[edges.to]
            sums[edges.sources] = np.maximum(np.maximum.reduceat(ahead, edges.first), _NEVER)
        return sums

    def _weigh_labels(self, column: Column, labels: tuple[str, ...]) -> Sums:
        """The best that a character of each label adds."""
        key = id(column), id(labels)
        if key not in self._weights:
            best = [
                max((self.sense * column[c][0] for c in label if c in column), default=_NEVER)
                for label in labels
            ]
            self._weights[key] = np.array(best, dtype=np.int64)
        return self._weights[key]

    def _reached(self, state: int, setting: _Setting, place: int) -> frozenset[Vector]:
        """All that texts can add from a state on, from a place on."""
        left = len(setting.columns) - place
        if left == 0:
            return frozenset([(0,) * self.meter.slots] if self.words.ends() >> state & 1 else [])
        key = state, setting.tails[place]
        if key not in self._sets:
            layer, found = self.words.layer(left), set[Vector]()
            for label, leads in zip(layer.labels, layer.leads, strict=True):
                added = self._adding(setting.columns[place], label) if state in leads else ()
                for to in members(leads[state]) if added else ():
                    rest = self._reached(to, setting, place + 1)
                    self._held += len(rest) * len(added)
                    if self._held > _MAX_HELD:
                        raise TooManyVectorsError
                    found |= {_plus(one, vector) for one in added for vector in rest}
            self._sets[key] = frozenset(found)
        return self._sets[key]

    def _adding(self, column: Column, chars: str) -> frozenset[Vector]:
        """The distinct vectors that characters add at a place."""
        key = id(column), chars
        if key not in self._added:
            self._added[key] = frozenset(column[char] for char in chars if char in column)
        return self._added[key]

    def _settings(self) -> Iterator[tuple[int, _Setting]]:
        """The lengths of which texts can be printed."""
        for length in self.words.lengths():
            setting = self._set(length)
            if setting is not None:
                yield length, setting

    def _set(self, length: int) -> _Setting | None:
        if length not in self._lengths:
            printed = self.tapes.printed(length)
            self._lengths[length] = None if printed is None else self._weigh(printed)
        return self._lengths[length]

    def _weigh(self, printed: Printed) -> _Setting:
        base = [0] * self.meter.slots
        for atom, index, text in printed.always:
            place = self.meter.place(atom, index)
            base[self.meter.slot[atom.line]] += self.meter.weigh(place, text)
        if not self.meter.by_place:
            columns = [self._column_of(kind) for kind in printed.kinds]
            return _Setting(tuple(base), columns, printed.tails)
        place_of = self.meter.place
        columns = [
            self._column(tuple((place_of(atom, index), options) for atom, index, options in shown))
            for shown in printed.shown
        ]
        tails, tail = [0], 0
        for column in reversed(columns):
            tail = self._tails.setdefault((id(column), tail), len(self._tails) + 1)
            tails.append(tail)
        return _Setting(tuple(base), columns, tails[::-1])

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


def _plus(some: Vector, more: Vector) -> Vector:
    return tuple(a + b for a, b in zip(some, more, strict=True))


def _minus(some: Vector, less: Vector) -> Vector:
    return tuple(a - b for a, b in zip(some, less, strict=True))

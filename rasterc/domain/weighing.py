"""What texts of a counter or an input weigh: the sum of weights of their characters.

A weight is told for each place and character, so the heaviest or the lightest text is a path
through the automaton of the texts, found from their ends, whatever the number of texts. Weights
are vectors: with one slot only the best sum of each state is kept, as nothing else leads to the
best.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.words import Words
from rasterc.values.given.automaton import States, members

Vector = tuple[int, ...]
Column = Mapping[str, Vector]
"""What each character adds at one place of the text; characters that cannot stand are missing."""

Sums = NDArray[np.int64]
"""The best sum from each state on, the more the better; `NEVER` where no text can go on."""

_MAX_HELD = 100_000  # vectors of several slots that are added one by one
NEVER = -(1 << 60)
DEAD = NEVER // 2  # sums below have some `NEVER` in them


class TooManyVectorsError(Exception):
    """There are more sums than can be gone through."""


@dataclass(frozen=True, slots=True)
class Setting:
    """Texts of one length: what they always add, the columns of their places, and a number for
    each remainder of columns, so that equal ones are searched once."""

    base: Vector
    columns: Sequence[Column]
    tails: Sequence[int]


class Weighing:
    """The sums over all texts, by dynamic programming from their ends.

    ``sense`` is 1 when more is better, -1 when less is.
    """

    def __init__(self, words: Words, sense: int, slots: int = 1) -> None:
        self.words = words
        self.sense = sense
        self.slots = slots
        self._best: dict[int, Sums] = {}
        self._sets: dict[tuple[int, int], frozenset[Vector]] = {}
        self._held = 0
        self._weights: dict[tuple[int, int], Sums] = {}
        self._added: dict[tuple[int, str], frozenset[Vector]] = {}

    def vectors(self, length: int, setting: Setting) -> set[Vector]:
        """The sums of the texts of a length; the best alone with one slot.

        Raises:
            TooManyVectorsError: there are more than can be gone through.
        """
        start = self.words.start(length)
        if self.slots > 1:
            return {plus(setting.base, vector) for vector in self.reached(start, setting, 0)}
        best = int(self.sums(setting, 0)[start])
        return {(setting.base[0] + self.sense * best,)} if best > DEAD else set()

    def walk(self, states: States, setting: Setting, targets: set[Vector]) -> tuple[str, Vector]:
        """The first text from some states on, all reached by one text, that adds a target."""
        text, vector = "", (0,) * self.slots
        for place, column in enumerate(setting.columns):
            layer = self.words.layer(len(setting.columns) - place)
            for char, labels in layer.chars.items():
                if char not in column:
                    continue
                rest = {minus(target, column[char]) for target in targets}
                after = layer.step(states, labels)
                after = self.leading(after, setting, place + 1, rest)
                if after:
                    text, states = text + char, after
                    targets, vector = rest, plus(vector, column[char])
                    break
        return text, vector

    def leading(self, states: States, setting: Setting, place: int, targets: set[Vector]) -> States:
        """Those states from which some text adds a target from a place on."""
        if self.slots > 1:
            return sum(
                1 << state
                for state in members(states)
                if not targets.isdisjoint(self.reached(state, setting, place))
            )
        sums = self.sums(setting, place)
        best = {self.sense * target[0] for target in targets}
        return sum(1 << state for state in members(states) if int(sums[state]) in best)

    def sums(self, setting: Setting, place: int) -> Sums:
        """The best sum from each state on, from a place on; of weights with one slot."""
        tail, left = setting.tails[place], len(setting.columns) - place
        if tail not in self._best:
            self._best[tail] = self._ends() if left == 0 else self._over(setting, place)
        return self._best[tail]

    def _ends(self) -> Sums:
        ends = self.words.ends()
        size = ends.bit_length()
        if self.words.lengths()[-1]:
            size = max(size, int(self.words.layer(1).edges.to.max(initial=0)) + 1)
        sums = np.full(size, NEVER, dtype=np.int64)
        sums[list(members(ends))] = 0
        return sums

    def _over(self, setting: Setting, place: int) -> Sums:
        column, layer = setting.columns[place], self.words.layer(len(setting.columns) - place)
        weights = self._weigh_labels(column, layer.labels)
        sums = np.full(layer.size, NEVER, dtype=np.int64)
        edges = layer.edges
        if len(edges.to):
            ahead = weights[edges.label] + self.sums(setting, place + 1)[edges.to]
            sums[edges.sources] = np.maximum(np.maximum.reduceat(ahead, edges.first), NEVER)
        return sums

    def _weigh_labels(self, column: Column, labels: tuple[str, ...]) -> Sums:
        """The best that a character of each label adds."""
        key = id(column), id(labels)
        if key not in self._weights:
            best = [
                max((self.sense * column[c][0] for c in label if c in column), default=NEVER)
                for label in labels
            ]
            self._weights[key] = np.array(best, dtype=np.int64)
        return self._weights[key]

    def reached(self, state: int, setting: Setting, place: int) -> frozenset[Vector]:
        """All that texts can add from a state on, from a place on."""
        left = len(setting.columns) - place
        if left == 0:
            return frozenset([(0,) * self.slots] if self.words.ends() >> state & 1 else [])
        key = state, setting.tails[place]
        if key not in self._sets:
            layer, found = self.words.layer(left), set[Vector]()
            for label, leads in zip(layer.labels, layer.leads, strict=True):
                added = self._adding(setting.columns[place], label) if state in leads else ()
                for to in members(leads[state]) if added else ():
                    rest = self.reached(to, setting, place + 1)
                    self._held += len(rest) * len(added)
                    if self._held > _MAX_HELD:
                        raise TooManyVectorsError
                    found |= {plus(one, vector) for one in added for vector in rest}
            self._sets[key] = frozenset(found)
        return self._sets[key]

    def _adding(self, column: Column, chars: str) -> frozenset[Vector]:
        """The distinct vectors that characters add at a place."""
        key = id(column), chars
        if key not in self._added:
            self._added[key] = frozenset(column[char] for char in chars if char in column)
        return self._added[key]


def plus(some: Vector, more: Vector) -> Vector:
    """The sum."""
    return tuple(a + b for a, b in zip(some, more, strict=True))


def minus(some: Vector, less: Vector) -> Vector:
    """The difference."""
    return tuple(a - b for a, b in zip(some, less, strict=True))


def extreme(words: Words, weight: Callable[[int, str], int], sense: int) -> tuple[int, str] | None:
    """The heaviest text, or the lightest with a ``sense`` of -1, the first of equals; and what it
    weighs. None when there are no texts.

    ``weight`` is that of a character at a place, counted from 0.
    """
    best: tuple[int, str] | None = None
    for length in words.lengths():
        columns = [{c: (weight(at, c),) for c in words.alphabet} for at in range(length)]
        weighing, setting = Weighing(words, sense), Setting((0,), columns, range(length, -1, -1))
        for vector in weighing.vectors(length, setting):
            if best is None or sense * vector[0] > sense * best[0]:
                text, _ = weighing.walk(1 << words.start(length), setting, {vector})
                best = vector[0], text
    return best

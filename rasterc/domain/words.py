"""The texts that a counter or an input can have, as one kind of object.

`Words` is an automaton laid out place by place: at each place a text is in one of some states, and
`Layer` tells where characters lead from there. Several ways may lead to one text; what asks for
texts rather than ways follows sets of states. Texts are ordered by length, then character by
character: numbers by value.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from rasterc.domain.count import MANY as MANY
from rasterc.domain.count import Count as Count
from rasterc.domain.layers import Layer
from rasterc.values.given.automaton import States, members

Places = Sequence[Collection[str] | None]
"""A template: for each place of a text the characters that may stand there, None for any."""

MAX_STEPS = 200_000
"""Steps from a set of states to the next that are taken to count texts."""


class Words:
    """The texts of one counter or input."""

    __slots__ = ("_can_end",)

    def __init__(self) -> None:
        self._can_end: dict[int, States] = {}

    @property
    def alphabet(self) -> tuple[str, ...]:
        """Characters of the texts, in order."""
        raise NotImplementedError

    def lengths(self) -> Sequence[int]:
        """Lengths of the texts, ascending."""
        raise NotImplementedError

    def start(self, length: int) -> int:
        """The state before the first character of a text of this length."""
        raise NotImplementedError

    def layer(self, left: int) -> Layer:
        """The moves over the place from which so many characters are still to come, it included."""
        raise NotImplementedError

    def ends(self) -> States:
        """The states in which a text may end."""
        raise NotImplementedError

    def count(self) -> Count:
        """How many texts there are."""
        every = frozenset(self.alphabet)
        counting = Counting(self)
        return total(counting.texts(length, [every] * length) for length in self.lengths())

    def allows(self, char: str) -> bool:
        """Whether a character is one of those of the texts."""
        return char in self.alphabet

    def holds(self, text: str) -> bool:
        """Whether a text is one of them."""
        return self.can_fit([{char} for char in text])

    def can_fit(self, template: Places) -> bool:
        """Whether one of the texts fits a template."""
        if len(template) not in self.lengths():
            return False
        states = 1 << self.start(len(template))
        for done, place in enumerate(template):
            layer = self.layer(len(template) - done)
            every = range(len(layer.labels))
            states = layer.step(states, every if place is None else layer.labels_of(place))
        return bool(states & self.ends())

    def places(self) -> tuple[frozenset[str], ...]:
        """The characters of each place of the texts, up to the longest."""
        found = [set[str]() for _ in range(max(self.lengths(), default=0))]
        for length in self.lengths():
            states = 1 << self.start(length)
            for place in range(length):
                layer, can_end = self.layer(length - place), self.can_end(length - place - 1)
                after = 0
                for label, chars in enumerate(layer.labels):
                    led = layer.step(states, [label]) & can_end
                    after |= led
                    found[place].update(chars if led else ())
                states = after
        return tuple(map(frozenset, found))

    def texts(self) -> Iterator[str]:
        """All texts, in order, each once."""
        for length in self.lengths():
            yield from self.texts_of(length)

    def texts_of(self, length: int) -> Iterator[str]:
        """The texts of one length, in order."""
        return self.fitting((None,) * length)

    def listing(self, template: Places) -> Iterator[str] | None:
        """The same as `fitting`; None when there is no end to them."""
        return self.fitting(template)

    def fitting(self, places: Places) -> Iterator[str]:
        """The texts, in order, with one of these characters at each place; any where it is None.

        Only ways that come to an end are gone.
        """
        if len(places) not in self.lengths():
            return
        reach = self._backward(places)
        begin = 1 << self.start(len(places)) & reach[0]
        if not places and begin:
            yield ""
        text = [""] * len(places)
        ways = [self._steps(begin, places, reach)] if places else []
        while ways:
            step = next(ways[-1], None)
            if step is None:
                ways.pop()
                continue
            text[len(ways) - 1], states = step
            if len(ways) < len(places):
                ways.append(self._steps(states, places[len(ways) :], reach[len(ways) :]))
            else:
                yield "".join(text)

    def _backward(self, places: Places) -> list[States]:
        """Before each place, and after the last, the states from which a text can end."""
        reach = [self.ends()]
        for left, place in enumerate(reversed(places), 1):
            layer = self.layer(left)
            labels = None if place is None else layer.labels_of(place)
            reach.append(layer.back(reach[-1], labels))
        return reach[::-1]

    def _steps(
        self, states: States, places: Places, reach: Sequence[States]
    ) -> Iterator[tuple[str, States]]:
        """The characters that may come next, in order, and the states after each."""
        layer = self.layer(len(places))
        for char in layer.chars if places[0] is None else sorted(places[0]):
            after = layer.step(states, layer.chars.get(char, ())) & reach[1]
            if after:
                yield char, after

    def can_end(self, left: int) -> States:
        """The states from which a text can end after exactly so many characters."""
        if left not in self._can_end:
            known = self.ends() if left == 0 else self.layer(left).back(self.can_end(left - 1))
            self._can_end[left] = known
        return self._can_end[left]


def total(counts: Iterator[Count]) -> Count:
    """How many there are together."""
    every = list(counts)
    return Count(sum(c.number for c in every), all(c.exact for c in every))


class Counting:
    """Counts texts, out of some characters at each place.

    Exact as far as sets of states are few; else no more than the ways through the automaton and
    the choices at each place.
    """

    def __init__(self, words: Words) -> None:
        self.words = words
        self.steps = 0
        self._tails: dict[tuple[frozenset[str], int], int] = {}
        self._known: dict[tuple[States, int], int] = {}
        self._classes: dict[tuple[int, frozenset[str]], list[tuple[tuple[int, ...], int]]] = {}

    def texts(self, length: int, allowed: Sequence[frozenset[str]]) -> Count:
        """How many texts of a length have at each place one of the ``allowed`` characters."""
        tails, tail = [0], 0
        for chars in reversed(allowed):
            tail = self._tails.setdefault((chars, tail), len(self._tails) + 1)
            tails.append(tail)
        start = 1 << self.words.start(length)
        try:
            return Count(self._exactly(start, allowed, tails[::-1], 0))
        except _TooManyStepsError:
            return Count(self._at_most(length, allowed), exact=False)

    def _exactly(
        self, states: States, allowed: Sequence[frozenset[str]], tails: list[int], at: int
    ) -> int:
        left = len(allowed) - at
        if left == 0:
            return int(bool(states & self.words.ends()))
        key = states, tails[at]
        if key not in self._known:
            layer, can_end = self.words.layer(left), self.words.can_end(left - 1)
            number = 0
            for labels, size in self._alike(layer, allowed[at]):
                self.steps += states.bit_count() * len(labels)
                if self.steps > MAX_STEPS:
                    raise _TooManyStepsError
                after = layer.step(states, labels) & can_end
                if after:
                    number += size * self._exactly(after, allowed, tails, at + 1)
            self._known[key] = number
        return self._known[key]

    def _alike(self, layer: Layer, allowed: frozenset[str]) -> list[tuple[tuple[int, ...], int]]:
        """Characters that the same labels have: these labels, and how many characters."""
        key = id(layer.labels), allowed
        if key not in self._classes:
            sizes: dict[tuple[int, ...], int] = {}
            for char, labels in layer.chars.items():
                if char in allowed:
                    sizes[labels] = sizes.get(labels, 0) + 1
            self._classes[key] = list(sizes.items())
        return self._classes[key]

    def _at_most(self, length: int, allowed: Sequence[frozenset[str]]) -> int:
        """No more than this: a text that several ways lead to is counted once for each."""
        ends = self.words.ends()
        ways = [ends >> state & 1 for state in range(ends.bit_length())]
        choices = 1
        for at in range(length - 1, -1, -1):
            layer = self.words.layer(length - at)
            sizes = [len(allowed[at].intersection(label)) for label in layer.labels]
            before = [0] * layer.size
            for size, leads in zip(sizes, layer.leads, strict=True):
                for state, after in leads.items() if size else ():
                    before[state] += size * sum(ways[t] for t in members(after) if t < len(ways))
            ways = before
            choices *= len(allowed[at])
        return min(ways[self.words.start(length)], choices)


class _TooManyStepsError(Exception):
    """More steps than `MAX_STEPS`."""

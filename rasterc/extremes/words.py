"""The texts a counter or an input can have, character by character.

`Words` is an automaton without loops: states, the characters each takes, and whether a text may
end there. Texts are ordered by length, then character by character: numbers by value.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

from rasterc.source.message import Counter
from rasterc.values.counters import text_of, value_of

State = object


class Words(Protocol):
    """The texts of one variable. A state is any value that can be a key."""

    @property
    def alphabet(self) -> tuple[str, ...]:
        """Characters of the texts, in order."""

    def lengths(self) -> Iterable[int]:
        """Lengths of the texts, ascending."""

    def start(self, length: int, /) -> State:
        """The state before the first character of a text of this length."""

    def moves(self, state: State, left: int, /) -> Iterable[tuple[str, State]]:
        """Characters that may come next, as strings of those that lead to the same state.

        ``left`` is the number of characters still to come, with this one.
        """

    def ends(self, state: State, /) -> bool:
        """Whether a text may end here."""

    def count(self) -> int:
        """How many texts there are."""

    def texts(self) -> Iterator[str]:
        """All texts, in order."""


@dataclass(frozen=True, slots=True)
class _Number:
    """How far a number is settled.

    It still follows ``low`` or ``high``, the ends of what may come, where they are given; once it
    follows neither, equal states are searched only once.
    """

    low: int | None
    high: int | None
    remainder: int


@dataclass(frozen=True, slots=True)
class CounterWords:
    """The values of a counter in its digits; with ``zeros`` all have as many as the largest.

    Values lie ``step`` apart, so the remainder is carried along.
    """

    counter: Counter
    zeros: bool

    @property
    def alphabet(self) -> tuple[str, ...]:
        """The digits."""
        return tuple(self.counter.digits)

    @property
    def _ends(self) -> tuple[int, int]:
        """The least and the greatest value."""
        values = self.counter.values
        return min(values[0], values[-1]), max(values[0], values[-1])

    def lengths(self) -> Iterable[int]:
        """See `Words`."""
        shortest, longest = (len(text_of(self.counter, value)) for value in self._ends)
        return (longest,) if self.zeros else range(shortest, longest + 1)

    def start(self, length: int) -> State:
        """See `Words`."""
        low, high = self._ends
        base = len(self.counter.digits)
        if not self.zeros and length > 1:  # a longer number does not begin with a zero
            low = max(low, base ** (length - 1))
        return _Number(low, min(high, base**length - 1), 0)

    def moves(self, state: State, left: int) -> Iterable[tuple[str, State]]:
        """See `Words`."""
        assert isinstance(state, _Number)
        base, step = len(self.counter.digits), self.counter.step
        scale = base ** (left - 1)
        first = 0 if state.low is None else state.low // scale % base
        last = base - 1 if state.high is None else state.high // scale % base
        together: dict[State, str] = {}
        for digit in range(first, last + 1):
            after = _Number(
                state.low if digit == first else None,
                state.high if digit == last else None,
                (state.remainder + digit * scale) % step,
            )
            together[after] = together.get(after, "") + self.counter.digits[digit]
        return [(digits, after) for after, digits in together.items()]

    def ends(self, state: State) -> bool:
        """See `Words`."""
        assert isinstance(state, _Number)
        return state.remainder == self.counter.first % self.counter.step

    def count(self) -> int:
        """See `Words`."""
        return len(self.counter.values)

    def texts(self) -> Iterator[str]:
        """See `Words`."""
        width = len(text_of(self.counter, self._ends[1])) if self.zeros else 0
        values = self.counter.values
        for value in values if values.step > 0 else reversed(values):
            yield text_of(self.counter, value).rjust(width, self.counter.digits[0])

    def value(self, text: str) -> int:
        """The value a text stands for."""
        value = value_of(self.counter, text)
        assert value is not None
        return value


@dataclass(frozen=True, slots=True)
class OneLength:
    """The texts of one length only."""

    words: Words
    length: int

    @property
    def alphabet(self) -> tuple[str, ...]:
        """See `Words`."""
        return self.words.alphabet

    def lengths(self) -> Iterable[int]:
        """See `Words`."""
        return (self.length,)

    def start(self, length: int) -> State:
        """See `Words`."""
        return self.words.start(length)

    def moves(self, state: State, left: int) -> Iterable[tuple[str, State]]:
        """See `Words`."""
        return self.words.moves(state, left)

    def ends(self, state: State) -> bool:
        """See `Words`."""
        return self.words.ends(state)

    def count(self) -> int:
        """See `Words`."""
        return sum(1 for _ in self.texts())

    def texts(self) -> Iterator[str]:
        """See `Words`."""
        return (text for text in self.words.texts() if len(text) == self.length)

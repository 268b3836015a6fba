"""The texts of a counter: its values in its digits."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from rasterc.domain.layers import Layer
from rasterc.domain.words import Count, Places, Words
from rasterc.source.declarations import Counter
from rasterc.values.given.automaton import States
from rasterc.values.given.counters import text_of, value_of


@dataclass(frozen=True, slots=True)
class _Number:
    """How far a number is settled.

    It still follows ``low`` or ``high``, the ends of what may come, where they are given; once it
    follows neither, equal states are searched only once.
    """

    low: int | None
    high: int | None
    remainder: int


class CounterWords(Words):
    """The values of a counter in its digits; with ``zeros`` all have as many as the largest.

    Values lie ``step`` apart, so the remainder is carried along.
    """

    __slots__ = ("_layers", "_starts", "counter", "least", "most", "zeros")

    def __init__(self, counter: Counter, zeros: bool) -> None:
        super().__init__()
        self.counter, self.zeros = counter, zeros
        values = counter.values
        self.least, self.most = min(values[0], values[-1]), max(values[0], values[-1])
        self._starts: dict[int, int] = {}
        self._layers: dict[int, Layer] = {}

    @property
    def alphabet(self) -> tuple[str, ...]:
        """The digits."""
        return tuple(self.counter.digits)

    def lengths(self) -> Sequence[int]:
        """See `Words`."""
        shortest, longest = (len(text_of(self.counter, n)) for n in (self.least, self.most))
        return (longest,) if self.zeros else range(shortest, longest + 1)

    def start(self, length: int) -> int:
        """See `Words`."""
        self._prepare()
        return self._starts[length]

    def layer(self, left: int) -> Layer:
        """See `Words`."""
        self._prepare()
        return self._layers[left]

    def ends(self) -> States:
        """See `Words`: the states of the end are the remainders."""
        return 1 << self.counter.first % self.counter.step

    def count(self) -> Count:
        """See `Words`."""
        return Count(len(self.counter.values))

    def texts(self) -> Iterator[str]:
        """See `Words`."""
        width = len(text_of(self.counter, self.most)) if self.zeros else 0
        values = self.counter.values
        for value in values if values.step > 0 else reversed(values):
            yield text_of(self.counter, value).rjust(width, self.counter.digits[0])

    def can_fit(self, template: Places) -> bool:
        """See `Words`."""
        return next(self.ranges(template), None) is not None

    def listing(self, template: Places) -> Iterator[str]:
        """See `Words`."""
        zero, width = self.counter.digits[0], len(template)
        values = (value for part in self.ranges(template) for value in part)
        return (text_of(self.counter, value).rjust(width, zero) for value in values)

    def ranges(self, template: Places) -> Iterator[range]:
        """The values, ascending, whose texts fit a template.

        They are found from the highest place down, leaving out every stretch the counter does not
        meet, and told together where all that is left may be anything.
        """
        length, base = len(template), len(self.counter.digits)
        if length not in self.lengths():
            return
        values = self.counter.values if self.counter.values.step > 0 else self.counter.values[::-1]
        low = base ** (length - 1) if length > 1 and not self.zeros else 0
        digits = [self._digits(place) for place in template]
        yield from _Stretches(_between(values, low, values[-1] + 1), base, digits).within(0, 0)

    def _digits(self, place: Collection[str] | None) -> range | list[int]:
        every = range(len(self.counter.digits))
        return every if place is None else [n for n in every if self.counter.digits[n] in place]

    def value(self, text: str) -> int:
        """The value a text stands for."""
        value = value_of(self.counter, text)
        assert value is not None
        return value

    def _prepare(self) -> None:
        """Lay out the places, from the first of the longest number on."""
        if self._layers:
            return
        lengths = self.lengths()
        states: dict[_Number, int] = {}
        for left in range(lengths[-1], 0, -1):
            if left in lengths:
                self._starts[left] = states.setdefault(self._begin(left), len(states))
            after: dict[_Number, int] = {}
            leads: dict[str, dict[int, States]] = {}
            for state, at in states.items():
                for digits, to in self._moves(state, left).items():
                    number = to.remainder if left == 1 else after.setdefault(to, len(after))
                    leads.setdefault(digits, {})[at] = 1 << number
            self._layers[left] = Layer(len(states), tuple(leads), tuple(leads.values()))
            states = after

    def _begin(self, length: int) -> _Number:
        """The state before the first digit of a number of this length."""
        low, base = self.least, len(self.counter.digits)
        if not self.zeros and length > 1:  # a longer number does not begin with a zero
            low = max(low, base ** (length - 1))
        return _Number(low, min(self.most, base**length - 1), 0)

    def _moves(self, state: _Number, left: int) -> dict[str, _Number]:
        """The digits that may come next, by what they lead to."""
        base, step = len(self.counter.digits), self.counter.step
        scale = base ** (left - 1)
        first = 0 if state.low is None else state.low // scale % base
        last = base - 1 if state.high is None else state.high // scale % base
        together: dict[_Number, str] = {}
        for digit in range(first, last + 1):
            after = _Number(
                state.low if digit == first else None,
                state.high if digit == last else None,
                (state.remainder + digit * scale) % step,
            )
            together[after] = together.get(after, "") + self.counter.digits[digit]
        return {digits: after for after, digits in together.items()}


@dataclass(slots=True)
class _Stretches:
    """Finds the values of an ascending range that have certain digits at each place."""

    values: range
    base: int
    digits: Sequence[range | list[int]]
    dead: set[tuple[int, int]] = field(default_factory=set)

    def within(self, place: int, start: int) -> Iterator[range]:
        """The values from ``start`` on that have the digits from a place on, and those of
        ``start`` before it."""
        size = self.base ** (len(self.digits) - place)
        part = _between(self.values, start, start + size)
        if not part:
            return
        if all(isinstance(some, range) for some in self.digits[place:]):
            yield part
            return
        key = place, start % self.values.step  # nothing was found at a place after this remainder
        if key in self.dead:
            return
        found = False
        for digit in self.digits[place]:
            for values in self.within(place + 1, start + digit * (size // self.base)):
                found = True
                yield values
        if not found and self.values[0] <= start and start + size - 1 <= self.values[-1]:
            self.dead.add(key)


def _between(values: range, start: int, end: int) -> range:
    """The part of an ascending range from ``start`` (included) to ``end``."""
    low = max(0, -((values.start - start) // values.step))
    high = max(low, -((values.start - end) // values.step))
    return values[low:high]

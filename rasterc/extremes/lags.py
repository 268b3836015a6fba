"""After how many steps a counter first prints the same again, when only a part of it is printed.

Two values so many steps apart are an addition in the counter's digits. Whether some two of them
print alike is decided on the digits of both at once, place by place from the highest, with the
carry: no value is spelled out, however many there are.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from math import gcd

from rasterc.domain.counterwords import CounterWords
from rasterc.domain.layers import Layer
from rasterc.extremes.tape import Placed, Printed
from rasterc.source.declarations import AtEnd
from rasterc.values.given.automaton import members

MAX_STEP = 100  # of a counter: a larger one makes too many pairs of states
MAX_TRIED = 300  # numbers of steps

Pair = tuple[int, int, bool]
"""States of two values, and whether the places below them carry one over."""


@dataclass(frozen=True, slots=True)
class Lag:
    """Steps between two values that print alike; with ``exact`` False there may be more."""

    steps: int
    exact: bool = True


@dataclass(slots=True)
class Lags:
    """The lags of a counter whose texts all have one length, by what is printed of its places."""

    words: CounterWords
    printed: Printed
    _moves: dict[tuple[int, int], dict[int, int]] = field(default_factory=dict)

    def least(self) -> Lag | None:
        """The least one; None when no number prints as another does before it comes again."""
        count, each = len(self.words.counter.values), self._each()
        within = self._first(range(each, count, each))
        if self.words.counter.at_end is not AtEnd.WRAP:
            return within
        largest = (count - 1) // each * each  # the last values before the end, and the first after
        across = self._first(range(largest, 0, -each))
        found = [lag for lag in (within, _across(across, count)) if lag is not None]
        return min(found, key=lambda lag: (lag.steps, lag.exact), default=None)

    def _first(self, tried: Sequence[int]) -> Lag | None:
        """The first of some numbers of steps that two values alike lie apart."""
        for steps in tried[:MAX_TRIED]:
            if self._has(steps):
                return Lag(steps)
        return Lag(tried[MAX_TRIED], exact=False) if len(tried) > MAX_TRIED else None

    def _each(self) -> int:
        """All lags are multiples of this: the lowest places, as far as they are told, come round.

        >>> from math import gcd
        >>> 10**3 // gcd(7, 10**3)  # the last three digits of a counter in steps of 7
        1000
        """
        told = 0
        digits = self.words.counter.digits
        for shown in self._shown():
            if len({shown[digit] for digit in digits}) < len(digits):
                break
            told += 1
        size: int = len(digits) ** told
        return size // gcd(self.words.counter.step, size)

    def _shown(self) -> Iterator[Mapping[str, tuple[str, ...]]]:
        """What is printed for each digit, from the lowest place up."""
        for prints in reversed(self.printed.shown):
            chains = [Placed(0, options) for _, _, options in prints]
            digits = self.words.counter.digits
            yield {digit: tuple(chain.text(digit) for chain in chains) for digit in digits}

    def _has(self, steps: int) -> bool:
        """Whether some two values so many steps apart print alike."""
        length = len(self.printed.shown)
        start = self.words.start(length)
        apart, base = steps * self.words.counter.step, len(self.words.counter.digits)
        shown = list(self._shown())
        pairs: set[Pair] = {(start, start, False)}
        for place in range(length - 1, -1, -1):
            digit = apart // base**place % base
            pairs = set(self._after(pairs, place, digit, shown[place]))
        ends = self.words.ends()
        return any(ends >> a & ends >> b & 1 and not carried for a, b, carried in pairs)

    def _after(
        self, pairs: set[Pair], place: int, apart: int, shown: Mapping[str, tuple[str, ...]]
    ) -> Iterator[Pair]:
        """The pairs after a place, at which the second value is a digit ``apart`` further on."""
        digits = self.words.counter.digits
        layer = self.words.layer(place + 1)
        for one, other, carries in pairs:
            mine, theirs = self._led(layer, place, one), self._led(layer, place, other)
            for digit, to in mine.items():
                for carried in (False, True):
                    over, further = divmod(digit + apart + carried, len(digits))
                    same = shown[digits[digit]] == shown[digits[further]]
                    if over == carries and same and further in theirs:
                        yield to, theirs[further], carried

    def _led(self, layer: Layer, place: int, state: int) -> Mapping[int, int]:
        """The digits that may come next, and the state after each."""
        key = place, state
        if key not in self._moves:
            moves = self._moves[key] = {}
            for label, leads in zip(layer.labels, layer.leads, strict=True):
                if state in leads:
                    [to] = members(leads[state])
                    moves |= {self.words.counter.digits.index(char): to for char in label}
        return self._moves[key]


def _across(lag: Lag | None, count: int) -> Lag | None:
    """From the steps back, over which a counter that wraps goes on, to those forward."""
    return None if lag is None else Lag(count - lag.steps, lag.exact)


def least_listed(prints: Sequence[object], wraps: bool) -> int | None:
    """The least distance between two equal prints of all values of a counter, which goes on from
    the last to the first when it ``wraps``; None when a print comes only with its own value."""
    last: dict[object, int] = {}
    least: int | None = None
    for index, text in enumerate([*prints, *islice(prints, len(prints) if wraps else 0)]):
        before = last.get(text)
        if before is not None and (least is None or index - before < least):
            least = index - before
        last[text] = index
    return None if least == len(prints) else least

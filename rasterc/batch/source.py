"""Where the rows of a job come from: a count, or data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.block import Refused
from rasterc.batch.columns import constant
from rasterc.batch.counting import Stop, Stretches, first_stop
from rasterc.batch.pace import Pace
from rasterc.batch.rows import Micros, Rows


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """Some rows of a job, and those among them that tell nothing that could be printed; ``stop``
    is the row behind them that is not printed, when there is one."""

    rows: Rows
    refused: tuple[Refused, ...] = ()
    stop: Stop | None = None


class RowSource(Protocol):
    """Gives the rows of a job; the same each time it is asked."""

    @property
    def count(self) -> int | None:
        """How many rows there are, when that is known."""

    def told(self, first: int, size: int) -> Iterator[Told]:
        """The rows from ``first`` on, counted from 0, ``size`` at a time, to the end."""

    def at(self, numbers: Sequence[int]) -> Iterator[Rows]:
        """Some rows by their numbers, counted from 1."""


@dataclass(frozen=True, slots=True, eq=False)
class Counted:
    """So many rows, whose counters go on from row to row; inputs stay as they are.

    Attributes:
        asked: how many rows were asked for.
        pace: their moments.
        stretches: their counters, by name.
        inputs: their inputs, by name.
    """

    asked: int
    pace: Pace
    stretches: Mapping[str, Stretches]
    inputs: Mapping[str, str] = field(default_factory=dict)

    @property
    def stop(self) -> Stop | None:
        """The first row that cannot be numbered, if there is one."""
        return first_stop(self.stretches, self.asked)

    @property
    def count(self) -> int:
        """How many rows there are: all before the one that is not printed."""
        return self.asked if self.stop is None else self.stop.row

    def told(self, first: int, size: int) -> Iterator[Told]:
        """The rows from ``first`` on, ``size`` at a time."""
        stop, count = self.stop, self.count
        for begin in range(first, count, size):
            end = min(begin + size, count)
            yield Told(self.rows(begin, end - begin), (), stop if end == count else None)

    def rows(self, first: int, count: int) -> Rows:
        """So many rows from ``first`` on, counted from 0."""
        places = np.arange(first, first + count, dtype=np.int64)
        return self._rows(places, self.pace.moments(first, count))

    def at(self, numbers: Sequence[int]) -> Iterator[Rows]:
        """Some rows by their numbers, counted from 1."""
        places = np.array(numbers, np.int64) - 1
        start = self.pace.start
        moments = None if start is None else [self.pace.at(place) for place in places.tolist()]
        yield self._rows(places, None if moments is None else np.array(moments, np.int64))

    def _rows(self, places: NDArray[np.int64], at: Micros | None) -> Rows:
        counters = {name: each.values(places) for name, each in self.stretches.items()}
        texts = {name: constant(text) for name, text in self.inputs.items()}
        return Rows(places + 1, at, counters, texts)

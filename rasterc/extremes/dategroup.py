"""The group of typed dates whose limits go by the time, and of all atoms that depend on the minute.

A date may be any day of a window that moves with time. What it adds to a measure is known for each
day, so that the most of a window is looked up, and of each sum it is known in which windows it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.calendar import date_of
from rasterc.domain.codes import Index, rows_of
from rasterc.domain.printer import Printed
from rasterc.domain.typed import Allowed
from rasterc.domain.weighing import TooManyVectorsError
from rasterc.domain.words import Count
from rasterc.extremes.clockgroup import ClockGroup, Table, distinct_rows
from rasterc.extremes.datecount import distinct_texts
from rasterc.extremes.group import HIGHEST, MAX_VECTORS, Assignment, contains, distinct
from rasterc.extremes.meter import Meter, Vectors
from rasterc.values.dates.typed import TypedDate

NONE = 1 << 58
"""What a day weighs that has no text, or a window without days: worse than anything."""

_MANY = 20_000_000  # cells, or days, with the sums that are told apart


@dataclass(frozen=True, slots=True, eq=False)
class DatedAtoms:
    """A typed date and the atoms that depend on it alone.

    Attributes:
        name: of the input.
        date: how it is typed.
        first: the first day of which texts are known.
        printed: the texts of the atoms, by day from that one.
        low, high: for each cell the first and the last day that it may be, from that one on;
            crossed where it may be none.
    """

    name: str
    date: TypedDate
    first: int
    printed: tuple[Printed, ...]
    low: Index
    high: Index

    @classmethod
    def of(
        cls,
        name: str,
        date: TypedDate,
        days: tuple[int, int],
        printed: tuple[Printed, ...],
        allowed: Allowed,
    ) -> DatedAtoms:
        """The same from the days that are allowed in each cell."""
        low, high = allowed.first - days[0], allowed.last - days[0]
        return cls(name, date, days[0], printed, low, high)

    def text(self, place: int) -> str:
        """How a day is typed."""
        return self.date.text(date_of(self.first + place))

    @property
    def texts(self) -> int:
        """How many distinct tuples of texts its atoms have."""
        return len(rows_of((one.ids for one in self.printed), len(self.printed[0].ids))[0])

    def sets(self) -> tuple[Index, NDArray[np.bool_]] | None:
        """The kind of window of each cell, and the texts of each; None when these are too many."""
        ids = [one.ids for one in self.printed]
        lacking = np.logical_or.reduce([some < 0 for some in ids])
        texts = rows_of(ids, len(lacking))[1].astype(np.int64)
        try:
            rows = Rows.of(self, texts[:, None], lacking)
        except TooManyVectorsError:
            return None
        return rows.kind, rows.present

    def weights(self, meter: Meter) -> tuple[Vectors, NDArray[np.bool_]]:
        """What its atoms add together on each day, and the days without a text."""
        days = len(self.printed[0].ids)
        total, lacking = np.zeros((days, meter.slots), np.int64), np.zeros(days, np.bool_)
        for one in self.printed:
            lacking |= one.ids < 0
            if not meter.passes_by(one.atom):
                place = meter.place(one.atom)
                weighed = np.array([*(meter.weigh(place, text) for text in one.texts), 0])
                total[:, meter.slot[one.atom.line]] += weighed[one.ids]
        return total, lacking


@dataclass(slots=True)
class DateGroup:
    """The minutes of the horizon, and at each the days that its dates may be."""

    clocks: ClockGroup
    dates: Sequence[DatedAtoms]
    _tables: dict[tuple[str, int], Table] = field(default_factory=dict)

    def vectors(self, meter: Meter, sense: int) -> Vectors:
        """See `group.Group`."""
        return self._table(meter, sense).vectors

    def first(self, meter: Meter, sense: int, wanted: Vectors) -> tuple[Assignment, Vectors]:
        """See `group.Group`."""
        table = self._table(meter, sense)
        among = np.flatnonzero(contains(wanted, table.vectors))
        earliest = among[np.argmin(table.minutes[among])]
        minute, vector = int(table.minutes[earliest]), table.vectors[earliest]
        texts = self._texts(meter, minute, vector)
        return Assignment(minute=minute, inputs=texts), vector[None, :]

    def forget(self, meter: Meter) -> None:
        """Let go of what was worked out for a meter."""
        self._tables = {key: table for key, table in self._tables.items() if key[0] != meter.name}
        self.clocks.forget(meter)

    def count(self) -> Count:
        """Of one date distinct tuples of texts; of several no more than all with all."""
        if len(self.dates) == 1:
            rows = self.dates[0].sets()
            number = None if rows is None else distinct_texts(self.clocks, *rows)
            if number is not None:
                return Count(number)
        total = self.clocks.count()
        for date in self.dates:
            total = total.times(Count(date.texts))
        return replace(total, exact=False)

    def _table(self, meter: Meter, sense: int) -> Table:
        key = meter.name, sense
        if key not in self._tables:
            one = meter.slots == 1
            self._tables[key] = self._best(meter, sense) if one else self._all(meter)
        return self._tables[key]

    def _weights(self, meter: Meter) -> Iterator[tuple[DatedAtoms, Vectors, NDArray[np.bool_]]]:
        for date in self.dates:
            yield date, *date.weights(meter)

    def _best(self, meter: Meter, sense: int) -> Table:
        """The best sum alone, with its first minute."""
        by_cell = self.clocks.totals(meter)[0][:, 0].copy()
        for date, weights, lacking in self._weights(meter):
            worth = np.where(lacking, -sense * NONE, weights[:, 0])
            by_cell += best_of_ranges(worth, date.low, date.high, sense)
        possible = sense * by_cell > -NONE // 2
        return self.clocks.best_of(meter, sense, by_cell, possible)

    def _all(self, meter: Meter) -> Table:
        """Every vector with its first minute."""
        by_cell, by_minute = self.clocks.totals(meter)
        rows = [Rows.of(*some) for some in self._weights(meter)]
        vectors: list[Vectors] = [np.zeros((0, meter.slots), np.int64)]
        minutes = [np.zeros(0, np.int64)]
        for kind, totals in zip(self.clocks.work.types, by_minute, strict=True):
            cells, mine = self._joined(kind.cells, by_cell, rows)
            mine, cell = distinct_rows(mine)
            times, later = distinct(totals)
            if len(mine) * len(times) > MAX_VECTORS:
                raise TooManyVectorsError
            starts = self.clocks.work.timeline.starts[cells[cell]]
            vectors.append((mine[:, None, :] + times[None, :, :]).reshape(-1, meter.slots))
            minutes.append((starts[:, None] + later[None, :]).ravel())
        every, at = np.concatenate(vectors), np.concatenate(minutes)
        order = np.argsort(at, kind="stable")
        found, first = distinct(every[order])
        return Table(found, at[order][first])

    def _joined(
        self, cells: Index, by_cell: Vectors, rows: Sequence[Rows]
    ) -> tuple[Index, Vectors]:
        """What some cells add with each choice of days, and the cell of each; in order of cells.

        Of cells that add and allow the same only the first is taken.
        """
        columns = (*by_cell[cells].T, *(each.kind[cells] for each in rows))
        cells = cells[np.sort(rows_of(columns, len(cells))[0])]
        mine = by_cell[cells]
        for each in rows:
            counts = each.present[each.kind[cells]].sum(axis=1)
            if int(counts.sum()) > 4 * MAX_VECTORS:
                raise TooManyVectorsError
            which = np.nonzero(each.present[each.kind[cells]])[1]
            cells = np.repeat(cells, counts)
            mine = np.repeat(mine, counts, axis=0) + each.vectors[which]
        return cells, mine

    def _texts(self, meter: Meter, minute: int, vector: Vectors) -> dict[str, str]:
        """The first days that add up to a vector with the minute."""
        cell, own = self.clocks.vector_at(meter, minute)
        weighed = list(self._weights(meter))
        places = next(_summing(weighed, cell, vector - own))
        return {date.name: date.text(p) for (date, _, _), p in zip(weighed, places, strict=True)}


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """The distinct vectors of a date, and which of them its windows hold.

    Attributes:
        vectors: shape (k, slots).
        present: which of them each kind of window holds, shape (kinds, k).
        kind: the kind of window of each cell.
    """

    vectors: Vectors
    present: NDArray[np.bool_]
    kind: Index

    @classmethod
    def of(cls, date: DatedAtoms, weights: Vectors, lacking: NDArray[np.bool_]) -> Rows:
        """The rows of what each day adds; raises `TooManyVectorsError`."""
        first, which = rows_of(weights.T, len(weights))
        windows, kind = rows_of((date.low, date.high), len(date.low))
        if max(len(weights), len(windows)) * len(first) > _MANY:
            raise TooManyVectorsError
        days = np.zeros((len(weights) + 1, len(first)), np.int32)
        days[1:][np.flatnonzero(~lacking), which[~lacking]] = 1
        upto = np.cumsum(days, axis=0)
        low, high = date.low[windows], date.high[windows] + 1
        crossed = (low >= high)[:, None]
        low, high = (np.clip(ends, 0, len(weights)) for ends in (low, high))
        return cls(weights[first], ~crossed & (upto[high] > upto[low]), kind)


def _summing(
    weighed: Sequence[tuple[DatedAtoms, Vectors, NDArray[np.bool_]]], cell: int, rest: Vectors
) -> Iterator[tuple[int, ...]]:
    """Places of the dates whose weights come to ``rest``, the first days first."""
    if not weighed:
        if not rest.any():
            yield ()
        return
    (date, weights, lacking), *others = weighed
    low, high = int(date.low[cell]), int(date.high[cell]) + 1
    tried: set[bytes] = set()
    for place in np.flatnonzero(~lacking[low:high]) + low:
        key = weights[place].tobytes()
        if key not in tried:
            tried.add(key)
            for places in _summing(others, cell, rest - weights[place]):
                yield (int(place), *places)


def best_of_ranges(
    values: NDArray[np.int64], low: Index, high: Index, sense: int
) -> NDArray[np.int64]:
    """The highest or lowest of ``values[low]`` to ``values[high]``, for many ranges; `NONE`, as bad
    as can be, where they are crossed.

    By tables of ranges whose lengths are powers of two, of which two cover any range.
    """
    pick = np.maximum if sense == HIGHEST else np.minimum
    table = [values]
    while 2 ** len(table) <= len(values):
        half = 2 ** (len(table) - 1)
        table.append(pick(table[-1][:-half], table[-1][half:]))
    best = np.full(len(low), -sense * NONE, np.int64)
    lengths = high - low + 1
    for power, each in enumerate(table):
        mine = np.flatnonzero((lengths >= 2**power) & (lengths < 2 ** (power + 1)))
        best[mine] = pick(each[low[mine]], each[high[mine] - 2**power + 1])
    return best

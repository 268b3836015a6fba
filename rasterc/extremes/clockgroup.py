"""The group of all atoms that depend on the minute."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.atoms import Varying, features_of
from rasterc.domain.clockwork import CellType, Clockwork
from rasterc.domain.codes import firsts, rows_of
from rasterc.domain.printer import Printed, text_codes
from rasterc.domain.weighing import TooManyVectorsError
from rasterc.domain.words import Count
from rasterc.extremes.group import (
    HIGHEST,
    LOWEST,
    MAX_VECTORS,
    Assignment,
    contains,
    distinct,
)
from rasterc.extremes.meter import Meter, Place, Vectors
from rasterc.values.dates.offsets import Flags, Minutes
from rasterc.values.dates.shifts import MINUTES_PER_DAY


@dataclass(slots=True)
class Table:
    """Vectors, and the first minute at which each is added."""

    vectors: Vectors
    minutes: Minutes


@dataclass(slots=True)
class ClockGroup:
    """The minutes of the horizon, seen through the clock atoms."""

    work: Clockwork
    _tables: dict[tuple[str, int], Table] = field(default_factory=dict)
    _sums: dict[str, tuple[Vectors, list[Vectors]]] = field(default_factory=dict)

    def vectors(self, meter: Meter, sense: int) -> Vectors:
        """See `group.Group`."""
        return self._table(meter, sense).vectors

    def first(self, meter: Meter, sense: int, wanted: Vectors) -> tuple[Assignment, Vectors]:
        """See `group.Group`."""
        table = self._table(meter, sense)
        among = np.flatnonzero(contains(wanted, table.vectors))
        earliest = among[np.argmin(table.minutes[among])]
        assignment = Assignment(minute=int(table.minutes[earliest]))
        return assignment, table.vectors[earliest : earliest + 1]

    def forget(self, meter: Meter) -> None:
        """Let go of what was worked out for a meter."""
        for sense in (HIGHEST, LOWEST):
            self._tables.pop((meter.name, sense), None)
        self._sums.pop(meter.name, None)

    def count(self) -> Count:
        """Distinct tuples of the atoms' texts."""
        work, kinds = self.work, self.work.types
        first, day = firsts(text_codes(work.by_cell, len(work.timeline)))
        # one bit for each type of cells; more than an int64 has room for are Python's own numbers
        days = np.zeros(len(first), dtype=np.int64 if len(kinds) < 63 else object)
        for number, kind in enumerate(kinds):
            has = np.zeros(len(first), dtype=np.bool_)
            has[day[kind.cells]] = True
            days[has] |= 1 << number
        sets, times = np.unique(days, return_counts=True)
        codes = [minute_codes(work.by_minute, kind) for kind in kinds]
        total = 0
        for bits, number in zip(sets.tolist(), times.tolist(), strict=True):
            seen = [code for bit, code in enumerate(codes) if bits >> bit & 1]
            total += number * len(np.unique(np.concatenate(seen)))
        return Count(total)

    def representatives(self, limit: int) -> list[int] | None:
        """The first minute of each distinct tuple of texts; None when there are too many."""
        found: dict[tuple[int, int], int] = {}
        work = self.work
        day = firsts(text_codes(work.by_cell, len(work.timeline)))[1]
        for cell_type in work.types:
            time = minute_codes(work.by_minute, cell_type)
            values, first = np.unique(time, return_index=True)
            cells = cell_type.cells[firsts(day[cell_type.cells])[0]]
            if len(values) * len(cells) > limit:
                return None
            for cell in cells:
                for value, later in zip(values.tolist(), first.tolist(), strict=True):
                    minute = int(work.timeline.starts[cell]) + later
                    key = int(day[cell]), value
                    found[key] = min(minute, found.get(key, minute))
            if len(found) > limit:
                return None
        return sorted(found.values())

    def _table(self, meter: Meter, sense: int) -> Table:
        key = meter.name, sense
        if key not in self._tables:
            one = meter.slots == 1
            self._tables[key] = self._best(meter, sense) if one else self._all(meter)
        return self._tables[key]

    def totals(self, meter: Meter) -> tuple[Vectors, list[Vectors]]:
        """The vectors of each cell, and of each minute of each type of cells."""
        if meter.name not in self._sums:
            work = self.work
            by_minute = [_sum(meter, work.by_minute, kind, kind.length) for kind in work.types]
            by_cell = _sum(meter, work.by_cell, None, len(work.timeline))
            self._sums[meter.name] = by_cell, by_minute
        return self._sums[meter.name]

    def _best(self, meter: Meter, sense: int) -> Table:
        """The best sum alone, with its first minute."""
        return self.best_of(meter, sense, self.totals(meter)[0][:, 0])

    def best_of(
        self, meter: Meter, sense: int, by_cell: Minutes, possible: Flags | None = None
    ) -> Table:
        """The best sum of what each cell adds, and each minute; of the cells that are possible."""
        pick = np.argmax if sense == HIGHEST else np.argmin
        found: list[tuple[int, int]] = []
        for cell_type, totals in zip(self.work.types, self.totals(meter)[1], strict=True):
            cells = cell_type.cells
            cells = cells if possible is None else cells[possible[cells]]
            if not len(cells):
                continue
            mine, minutes = by_cell[cells], totals[:, 0]
            cell, later = int(pick(mine)), int(pick(minutes))
            start = int(self.work.timeline.starts[cells[cell]])
            found.append((-sense * int(mine[cell] + minutes[later]), start + later))
        if not found:
            return Table(np.zeros((0, 1), np.int64), np.zeros(0, np.int64))
        value, minute = min(found)
        return Table(np.array([[-sense * value]]), np.array([minute]))

    def vector_at(self, meter: Meter, minute: int) -> tuple[int, Vectors]:
        """The cell of a minute, and the vector that the minute adds."""
        by_cell, by_minute = self.totals(meter)
        starts = self.work.timeline.starts
        cell = int(np.searchsorted(starts, minute, "right")) - 1
        for kind, totals in zip(self.work.types, by_minute, strict=True):
            if kind.cells[min(int(np.searchsorted(kind.cells, cell)), len(kind.cells) - 1)] == cell:
                later = min(minute - int(starts[cell]), len(totals) - 1)
                vector: Vectors = by_cell[cell] + totals[later]
                return cell, vector
        raise AssertionError(f"no cell holds minute {minute}")

    def _all(self, meter: Meter) -> Table:
        """Every vector with its first minute."""
        by_cell, by_minute = self.totals(meter)
        vectors: list[Vectors] = []
        minutes: list[Minutes] = []
        for cell_type, totals in zip(self.work.types, by_minute, strict=True):
            cells, cell = distinct_rows(by_cell[cell_type.cells])
            times, later = distinct(totals)
            if len(cells) * len(times) > MAX_VECTORS:
                raise TooManyVectorsError
            starts = self.work.timeline.starts[cell_type.cells[cell]]
            vectors.append((cells[:, None, :] + times[None, :, :]).reshape(-1, meter.slots))
            minutes.append((starts[:, None] + later[None, :]).ravel())
        every, at = np.concatenate(vectors), np.concatenate(minutes)
        order = np.argsort(at, kind="stable")
        rows, first = distinct(every[order])
        return Table(rows, at[order][first])


def widths_by_clock(
    group: ClockGroup, width: Callable[[Varying, str], int], limit: int
) -> list[dict[Varying, int]] | None:
    """The widths that the atoms take together; None when they are more than ``limit`` ways."""
    work = group.work
    by_cell = _widths(work.by_cell, width, None, len(work.timeline))
    found: dict[tuple[int, ...], None] = {}
    for kind in work.types:
        cells = distinct_rows(by_cell[kind.cells])[0]
        minutes = distinct_rows(_widths(work.by_minute, width, kind, kind.length))[0]
        if len(cells) * len(minutes) > limit:
            return None
        found |= dict.fromkeys((*c, *m) for c in cells.tolist() for m in minutes.tolist())
    atoms = [printed.atom for printed in (*work.by_cell, *work.by_minute)]
    return [dict(zip(atoms, row, strict=True)) for row in found]


def _widths(
    printed: Sequence[Printed],
    width: Callable[[Varying, str], int],
    kind: CellType | None,
    length: int,
) -> Vectors:
    columns = np.zeros((length, len(printed)), dtype=np.int64)
    for column, one in enumerate(printed):
        widths = np.array([width(one.atom, text) for text in one.texts], dtype=np.int64)
        columns[:, column] = widths[one.ids if kind is None else one.ids[_minutes(one, kind)]]
    return columns


def distinct_rows(vectors: Vectors) -> tuple[Vectors, NDArray[np.intp]]:
    """As `group.distinct`, quicker for many rows of few kinds."""
    first, _ = rows_of(vectors.T, len(vectors))
    return vectors[first], first


def _sum(meter: Meter, printed: Iterable[Printed], kind: CellType | None, length: int) -> Vectors:
    """The vectors that atoms add in each cell, or at each minute of a type of cells."""
    total = np.zeros((length, meter.slots), dtype=np.int64)
    known: dict[tuple[Place, tuple[str, ...]], Minutes] = {}
    for one in printed:
        if meter.passes_by(one.atom):
            continue
        place, slot = meter.place(one.atom), meter.slot[one.atom.line]
        if (place, one.texts) not in known:
            weighed = [meter.weigh(place, text) for text in one.texts]
            known[place, one.texts] = np.array(weighed, dtype=np.int64)
        weights = known[place, one.texts]
        if (weights == weights[0]).all():  # as for digits, which are all equally wide
            total[:, slot] += weights[0]
        else:
            total[:, slot] += weights[one.ids if kind is None else one.ids[_minutes(one, kind)]]
    return total


def _minutes(printed: Printed, kind: CellType) -> NDArray[np.int64]:
    """The minutes of the day that an atom's clock shows in a type of cells."""
    first = kind.first[features_of(printed.atom)[0].of]
    return (first + np.arange(kind.length)) % MINUTES_PER_DAY


def minute_codes(printed: Sequence[Printed], kind: CellType) -> Minutes:
    """A number for each minute of a type of cells; equal texts have equal ones in all types."""
    code = np.zeros(kind.length, dtype=np.int64)
    for clock, first in kind.first.items():
        mine = (one for one in printed if features_of(one.atom)[0].of == clock)
        of_day = firsts(text_codes(mine, MINUTES_PER_DAY))[1]
        code = code * MINUTES_PER_DAY + of_day[(first + np.arange(kind.length)) % MINUTES_PER_DAY]
    return code

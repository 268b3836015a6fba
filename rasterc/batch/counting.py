"""Counters over a whole job: where each starts again, what each row prints, where they end.

A job's counters are known for any row without going through the rows before it: a counter's run is
cut where it restarts, and within each stretch it counts the prints from its first row on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.pace import Pace
from rasterc.batch.times import MINUTE
from rasterc.diagnostics import InputError
from rasterc.domain.calendar import FEATURES
from rasterc.domain.codes import codes_of
from rasterc.domain.timeline import Timeline, Tracks
from rasterc.source.declarations import AtEnd, Counter
from rasterc.values import Plan
from rasterc.values.given.counters import prints

Numbers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Stretches:
    """A counter's run, from restart to restart.

    Attributes:
        counter: whose.
        starts: the first row of each stretch, counted from 0; ascending, the first is 0.
        before: prints of the counter before that row, within its stretch.
    """

    counter: Counter
    starts: Numbers
    before: Numbers

    def values(self, rows: Numbers) -> Numbers:
        """The value each row prints."""
        stretch = np.searchsorted(self.starts, rows, "right") - 1
        return values_of(self.counter, rows - self.starts[stretch] + self.before[stretch])

    def lengths(self, count: int) -> Numbers:
        """Rows of each stretch in a job of so many."""
        return np.diff(self.starts, append=count)

    def stop(self, count: int) -> int | None:
        """The first row that it cannot number, if it has an end; None when it has all."""
        if self.counter.at_end is AtEnd.WRAP:
            return None
        left = prints(self.counter) - self.before
        short = np.flatnonzero(self.lengths(count) > left)
        return int(self.starts[short[0]] + max(0, left[short[0]])) if len(short) else None


@dataclass(frozen=True, slots=True)
class Stop:
    """The first row of a job, counted from 0, that is not printed: its counter has ended."""

    row: int
    counter: Counter


def values_of(counter: Counter, printed: Numbers) -> Numbers:
    """What a counter prints after so many prints of a stretch; it begins again after its last."""
    values, index = counter.values, printed // counter.repeat
    value: Numbers = values[0] + values.step * (index % len(values))
    return value


def first_stop(stretches: Mapping[str, Stretches], count: int) -> Stop | None:
    """Where the first counter ends that does not reach the end of a job of so many rows."""
    stops = [(each.stop(count), each.counter) for each in stretches.values()]
    found = [Stop(row, counter) for row, counter in stops if row is not None]
    return min(found, key=lambda stop: stop.row, default=None)


def stretches_of(
    plan: Plan, counter: Counter, pace: Pace, count: int, before: int = 0
) -> Stretches:
    """The run of a counter in a job of ``count`` rows, which goes on after ``before`` prints.

    Raises:
        InputError: its clock leaves the years 1 to 9999, or its zone differed from UTC by a part
            of a minute.
    """
    starts = np.zeros(1, np.int64)
    if counter.restart_of is not None and pace.moves and pace.start is not None:
        starts = _starts(plan, counter, pace, count)
    return Stretches(counter, starts, np.where(starts == 0, before, 0))


def _starts(plan: Plan, counter: Counter, pace: Pace, count: int) -> Numbers:
    """The first row of each stretch: where the key of the restart changes between two rows."""
    assert pace.start is not None
    first, last = pace.start // MINUTE, pace.at(count - 1) // MINUTE
    line = _restart_line(plan, counter, first, last + 1)
    rows = np.array([pace.first_row(int(minute) * MINUTE) for minute in line.starts], np.int64)
    filled = np.append(rows[1:] > rows[:-1], rows[-1] < count) & (rows < count)
    keys = codes_of(keys_of(counter, line), len(line))[filled]
    changed = np.append(True, keys[1:] != keys[:-1])
    starts: Numbers = rows[filled][changed]
    return starts


def _restart_line(plan: Plan, counter: Counter, first: int, end: int) -> Timeline:
    """The clock or shift a counter restarts by, over minutes of UTC."""
    assert counter.restart_of is not None
    plan = _of_any_row(plan, counter.restart_of, counter)
    tracks = Tracks(plan, first, end)
    if counter.restart.of == "shift":
        tracks.sound(plan.schedules[counter.restart_of].shift.clock)
        return tracks.line([], [counter.restart_of])
    tracks.sound(counter.restart_of)
    return tracks.line([counter.restart_of], [])


def _of_any_row(plan: Plan, by: str, counter: Counter) -> Plan:
    """A plain plan for what all rows of product tables have in common; raises `InputError`."""
    if plan.cases is None:
        return plan
    shift = plan.message.shifts.get(by)
    if plan.message.clocks[shift.clock if shift else by].zone is None:
        said = f"counter {counter.name} restarts by a clock that may depend on a row of a table"
        raise InputError.one(
            "row-restart", said, counter.span, "restart it by a clock that is read"
        )
    return next(plan.plain())


def keys_of(counter: Counter, line: Timeline) -> list[Numbers]:
    """In each cell, what stays the same as long as a counter runs on: see `restart_key`."""
    assert counter.restart_of is not None
    if counter.restart.of == "shift":
        return [line.shifts[counter.restart_of].began.wall]
    days = line.clocks[counter.restart_of].day
    return [FEATURES[part](days) for part in counter.restart.parts]


@dataclass(slots=True)
class Going:
    """A counter that goes on from row to row, whatever their moments.

    Attributes:
        printed: prints of the present stretch so far.
    """

    plan: Plan
    counter: Counter
    printed: int = 0
    _key: tuple[int, ...] | None = None

    def next(self, at: Numbers | None, count: int) -> tuple[Numbers, int]:
        """The values of the next rows, and how many of these rows come before it ends.

        Raises:
            InputError: as `stretches_of`.
        """
        printed = np.arange(count, dtype=np.int64) + self.printed
        if self.counter.restart_of is not None and at is not None:
            printed = self._restarted(at // MINUTE, printed)
        self.printed = int(printed[-1]) + 1
        values = values_of(self.counter, printed)
        ended = np.flatnonzero(printed >= prints(self.counter))
        stops = self.counter.at_end is AtEnd.STOP and len(ended)
        return values, int(ended[0]) if stops else count

    def _restarted(self, minutes: Numbers, printed: Numbers) -> Numbers:
        keys = row_keys(self.plan, self.counter, minutes)
        before = keys[:, 0] if self._key is None else np.array(self._key)
        changed = np.any(keys != np.column_stack([before, keys[:, :-1]]), axis=0)
        self._key = tuple(keys[:, -1].tolist())
        places = np.arange(len(printed))
        last = np.maximum.accumulate(np.where(changed, places, -1))
        return np.where(last >= 0, places - last, printed)


def row_keys(plan: Plan, counter: Counter, minutes: Numbers) -> Numbers:
    """The key of each minute of UTC; shape (parts of the key, minutes)."""
    distinct, which = np.unique(minutes, return_inverse=True)
    line = _restart_line(plan, counter, int(distinct[0]), int(distinct[-1]) + 1)
    cells = np.searchsorted(line.starts, distinct, "right") - 1
    return np.stack([keys[cells][which] for keys in keys_of(counter, line)])

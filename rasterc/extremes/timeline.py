"""Clocks and shifts over a stretch of time, cut into cells within which they run straight.

Within a cell no clock changes its day, no zone its offset and no shift its part: a clock's wall
time either runs with time or, for the start of a shift, stands still. What a message prints over
ten years of minutes is then a few thousand cells times the minutes in each. The rules are those of
`rasterc.values.clocks` and `rasterc.values.shifts`, applied to all cells at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import InputError
from rasterc.extremes.calendar import FIRST_DAY, LAST_DAY, Days, move
from rasterc.source.message import Offset, Step
from rasterc.values import Plan
from rasterc.values.clocks import ClockPlan
from rasterc.values.offsets import Flags, Minutes, Offsets, merged, moment_of, offsets_between
from rasterc.values.shifts import MINUTES_PER_DAY, MINUTES_PER_WEEK

_MONDAY = 4 * MINUTES_PER_DAY  # 1970-01-05 00:00


@dataclass(slots=True)
class Reading:
    """What a clock shows at the start of each cell; all arrays have the shape (cells,).

    Attributes:
        day: the day shown, counted from 1970-01-01.
        wall: wall time in minutes; of no use when only the day was asked for.
        offset: its minutes ahead of UTC.
        second: whether it is the second wall time of that name, when clocks go back.
        runs: whether the wall time runs on within a cell, or stands still.
    """

    day: Days
    wall: Minutes
    offset: Minutes
    second: Flags
    runs: bool

    def at(self, index: NDArray[np.intp], later: Minutes) -> Reading:
        """The reading for new cells, each beginning ``later`` in the cell ``index``."""
        wall = self.wall[index] + later if self.runs else self.wall[index]
        return Reading(self.day[index], wall, self.offset[index], self.second[index], self.runs)


@dataclass(slots=True)
class Running:
    """The running part of a shift in each cell: which of its schedule's points, and since when.

    ``began`` is a wall time as the clock would name it, also where the clocks skip it.
    """

    point: NDArray[np.intp]
    began: Minutes
    day: Days


class Timeline:
    """The cells of the minutes ``first`` to ``end`` of UTC, cut further with each clock added.

    Attributes:
        starts, ends: first minute (included) and last (excluded) of each cell.
        clocks, shifts: the readings of those asked for so far.
    """

    def __init__(self, plan: Plan, first: int, end: int, timed: Iterable[str] = ()) -> None:
        self.plan = plan
        self.starts: Minutes = np.array([first], dtype=np.int64)
        self.ends: Minutes = np.array([end], dtype=np.int64)
        self.clocks: dict[str, Reading] = {}
        self.shifts: dict[str, Running] = {}
        self._timed = _timed(plan, timed)

    def copy(self) -> Timeline:
        """The same cells and readings, to be cut further on its own."""
        new = Timeline(self.plan, 0, 0)
        new.starts, new.ends, new._timed = self.starts, self.ends, self._timed
        new.clocks, new.shifts = dict(self.clocks), dict(self.shifts)
        return new

    def __len__(self) -> int:
        return len(self.starts)

    @property
    def lengths(self) -> Minutes:
        """Minutes of each cell."""
        return self.ends - self.starts

    def clock(self, name: str) -> Reading:
        """A clock that is read from the instant, in the end; cuts the cells where it jumps.

        Raises:
            InputError: it leaves the years 1 to 9999.
        """
        if name not in self.clocks:
            self._add_clock(self.plan.clocks[name])
        return self.clocks[name]

    def shift(self, name: str) -> Running:
        """A shift of such a clock; cuts the cells where its parts begin."""
        if name not in self.shifts:
            self._add_shift(name)
        return self.shifts[name]

    def cut(self, times: Minutes) -> None:
        """Cut the cells at minutes of UTC."""
        inside = times[(times > self.starts[0]) & (times < self.ends[-1])]
        starts = merged(self.starts, inside)
        if len(starts) == len(self.starts):
            return
        index = np.searchsorted(self.starts, starts, "right") - 1
        later = starts - self.starts[index]
        for name, reading in self.clocks.items():
            self.clocks[name] = reading.at(index, later)
        for name, shift in self.shifts.items():
            self.shifts[name] = Running(shift.point[index], shift.began[index], shift.day[index])
        self.starts, self.ends = starts, np.append(starts[1:], self.ends[-1])

    def cut_where(self, values: Minutes, points: Minutes) -> None:
        """Cut where ``values``, which run with time in each cell, reach ``points`` (sorted)."""
        low = np.searchsorted(points, values, "right")
        counts = np.searchsorted(points, values + self.lengths, "left") - low
        cell = np.repeat(np.arange(len(counts)), counts)
        nth = np.arange(len(cell)) - np.repeat(np.cumsum(counts) - counts, counts)
        self.cut(self.starts[cell] + points[low[cell] + nth] - values[cell])

    def cut_every(self, name: str, minutes: int) -> None:
        """Cut where the wall time of a running clock passes multiples of so many minutes."""
        if self.clocks[name].runs:
            wall = self.clocks[name].wall
            self.cut_where(wall, _multiples(minutes, 0, wall, self.lengths))

    def _add_clock(self, plan: ClockPlan) -> None:
        clock = plan.clock
        if clock.zone is not None:
            self._put(clock.name, *self._read(plan))
        else:
            if clock.base is not None:
                self.clock(clock.base)
                base = self.clocks[clock.base]
            else:
                assert clock.shift is not None
                base = self.start_of(clock.shift)
            self.clocks[clock.name] = base
            for step in clock.steps:
                if isinstance(step, Offset) and (each := step.unit.elapsed_minutes):
                    self._let_pass(plan, step.amount * each)
                else:
                    self._move_day(plan, _moved(self.clocks[clock.name].day, plan, step))
        self._check_years(clock.name)

    def _put(self, name: str, utc: Minutes, offsets: Offsets, day_from: int, runs: bool) -> None:
        """What a clock shows at moments ``utc``, where the cells are cut at changes of offset."""
        offset = offsets.at(utc)
        wall = utc + offset
        reading = Reading(wall, wall, offset, offsets.is_second(wall, offset), runs)
        self.clocks[name] = reading
        if runs:
            self.cut_where(wall, _multiples(MINUTES_PER_DAY, day_from, wall, self.lengths))
        reading = self.clocks[name]
        reading.day = (reading.wall - day_from) // MINUTES_PER_DAY

    def _read(self, plan: ClockPlan) -> tuple[Minutes, Offsets, int, bool]:
        offsets = self._offsets(plan, self.starts)
        self.cut(offsets.utc_edges)
        return self.starts, offsets, plan.day_from_minutes, True

    def _let_pass(self, plan: ClockPlan, elapsed: int) -> None:
        name = plan.clock.name
        before = self.clocks[name]
        offsets = self._offsets(plan, before.wall - before.offset + elapsed)
        if before.runs:
            self.cut_where(before.wall - before.offset + elapsed, offsets.utc_edges)
            before = self.clocks[name]
        utc = before.wall - before.offset + elapsed
        self._put(name, utc, offsets, plan.day_from_minutes, before.runs)

    def _move_day(self, plan: ClockPlan, days: Days) -> None:
        name = plan.clock.name
        before = self.clocks[name]
        wall = before.wall + (days - before.day) * MINUTES_PER_DAY
        self.clocks[name] = Reading(days, wall, before.offset, before.second, before.runs)
        if name not in self._timed:
            return
        offsets = self._offsets(plan, wall)
        if before.runs:
            self.cut_where(wall, offsets.wall_edges)
        now = self.clocks[name]
        wall, offset = offsets.settle(now.wall, now.second)
        second = offsets.is_second(wall, offset)
        self.clocks[name] = Reading(now.day, wall, offset, second, now.runs)

    def _add_shift(self, name: str) -> None:
        schedule = self.plan.schedules[name]
        self.clock(schedule.shift.clock)
        points = np.array(schedule.points, dtype=np.int64)
        reading = self.clocks[schedule.shift.clock]
        if reading.runs:
            weeks = _multiples(MINUTES_PER_WEEK, _MONDAY, reading.wall, self.lengths)
            self.cut_where(reading.wall, (weeks[:, None] + points).ravel())
            reading = self.clocks[schedule.shift.clock]
        minute = (reading.wall - _MONDAY) % MINUTES_PER_WEEK
        point = np.searchsorted(points, minute, "right") - 1
        began = reading.wall - (minute - points[point]) % MINUTES_PER_WEEK
        day = (began - schedule.day_from_minutes) // MINUTES_PER_DAY
        self.shifts[name] = Running(point % len(points), began, day)

    def start_of(self, name: str) -> Reading:
        """What `start of` a shift shows in each cell."""
        running = self.shift(name)
        offsets = self._offsets(
            self.plan.clocks[self.plan.schedules[name].shift.clock], running.began
        )
        first = np.zeros(running.began.shape, dtype=np.bool_)
        wall, offset = offsets.settle(offsets.gap_ends(running.began), first)
        return Reading(running.day, wall, offset, offsets.is_second(wall, offset), False)

    def _offsets(self, plan: ClockPlan, around: Minutes) -> Offsets:
        """The offsets of a clock's zone, for moments or wall times around which cells lie."""
        assert plan.zone is not None
        longest = int(self.lengths.max())
        return offsets_between(plan.zone.key, int(around.min()), int(around.max()) + longest)

    def _check_years(self, name: str) -> None:
        day = self.clocks[name].day
        outside = (day < FIRST_DAY) | (day > LAST_DAY)
        if outside.any():
            when = moment_of(int(self.starts[np.argmax(outside)]))
            raise InputError.one(
                "date-out-of-range",
                f"clock {name} leaves the years 1 to 9999 at {when:%Y-%m-%d %H:%M} UTC",
                self.plan.clocks[name].clock.span,
                "look at fewer years, or use offsets that stay within them",
            )


def _moved(days: Days, plan: ClockPlan, step: Step) -> Days:
    """Days moved by a step; each day between the first and the last is looked at once."""
    first = int(days.min())
    table = move(np.arange(first, int(days.max()) + 1), step, plan.clock.short_month)
    return table[days - first]


def _multiples(period: int, phase: int, values: Minutes, lengths: Minutes) -> Minutes:
    """All minutes that are ``phase`` modulo ``period`` and may be reached from ``values``."""
    first = (int(values.min()) - phase) // period
    last = (int((values + lengths).max()) - phase) // period
    return np.arange(first, last + 1, dtype=np.int64) * period + phase


def _timed(plan: Plan, asked: Iterable[str]) -> frozenset[str]:
    """Clocks whose wall time matters: those asked for, and all that these or shifts rest on."""
    todo = [*asked, *(schedule.shift.clock for schedule in plan.schedules.values())]
    for name, ready in plan.clocks.items():
        if any(isinstance(s, Offset) and s.unit.elapsed_minutes for s in ready.clock.steps):
            todo.append(name)
    timed: set[str] = set()
    while todo:
        name = todo.pop()
        if name in timed:
            continue
        timed.add(name)
        clock = plan.clocks[name].clock
        if clock.base is not None:
            todo.append(clock.base)
        elif clock.shift is not None:
            todo.append(plan.schedules[clock.shift].shift.clock)
    return frozenset(timed)

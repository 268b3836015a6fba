"""Clocks and shifts of some rows: worked out once for each distinct minute of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, time

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.columns import ALL, Basis
from rasterc.batch.rows import MICROS, Micros
from rasterc.diagnostics import InputError
from rasterc.domain.calendar import FEATURES, TIMES, date_of
from rasterc.domain.codes import Index
from rasterc.domain.timeline import Timeline, Tracks
from rasterc.domain.tracks import Track
from rasterc.values import Plan
from rasterc.values.dates.clocks import ClockValue
from rasterc.values.dates.offsets import Flags, Minutes, wall_of
from rasterc.values.dates.shifts import MINUTES_PER_DAY
from rasterc.values.fields.kinds import ClockTable, ClockText, ShiftText

SECONDS = 60
MINUTE = SECONDS * MICROS
_LOOK_AHEAD = 2 * MINUTES_PER_DAY
_LONGEST = 20 * 366 * MINUTES_PER_DAY
_NO_DAY = date_of(0)
_MIDNIGHT = datetime.combine(_NO_DAY, time())


def second_value(second: int) -> ClockValue:
    """What shows a second of any minute."""
    return ClockValue(_MIDNIGHT.replace(second=second), _NO_DAY)


@dataclass(slots=True)
class Calendar:
    """The clocks and shifts that a plan prints, over a stretch of time that grows as it is asked.

    Not for use by two threads at once.
    """

    plan: Plan
    _line: Timeline | None = None

    def of(self, at: Micros | None) -> Minutely:
        """What the clocks show at these moments; at any moment when there are none.

        Raises:
            InputError: a zone then differed from UTC by a part of a minute, or the moments lie
                decades apart.
        """
        if at is None:
            return Minutely(self._over(0, 0), ALL, np.zeros(1, np.int64), None)
        minutes, seconds = at // MINUTE, at // MICROS % SECONDS
        basis, distinct = _distinct(minutes)
        line = self._over(int(distinct.min()), int(distinct.max()))
        return Minutely(line, basis, distinct, seconds)

    def _over(self, first: int, last: int) -> Timeline:
        line = self._line
        if line is not None and line.starts[0] <= first and last < line.end:
            return line
        if last - first > _LONGEST:
            said = "the moments of these rows lie too far apart to be looked at together"
            raise InputError.one("bad-horizon", said)
        end = last + _LOOK_AHEAD if last else 1
        if line is not None and max(end, line.end) - min(first, int(line.starts[0])) < _LONGEST:
            first = min(first, int(line.starts[0]))
            end = max(end, line.end + (line.end - first))  # so that it is seldom made again
        self._line = Tracks(self.plan, first, end).line(*shown(self.plan))
        return self._line


def shown(plan: Plan) -> tuple[list[str], list[str]]:
    """The clocks and the shifts that the fields of a plan show."""
    clocks: dict[str, None] = {}
    shifts: dict[str, None] = {}
    for each in plan.fields:
        match each.source:
            case ClockText(clock, _) | ClockTable(clock, _, _):
                clocks[clock] = None
            case ShiftText(shift):
                shifts[shift] = None
    return list(clocks), list(shifts)


def _distinct(minutes: Minutes) -> tuple[Basis, Minutes]:
    """The minutes there are, each once, and which of them each row has."""
    low = int(minutes.min())
    reach = int(minutes.max()) - low + 1
    if reach == 1:
        return ALL, minutes[:1]
    if reach > 4 * len(minutes):
        distinct, which = np.unique(minutes, return_inverse=True)
        return Basis(len(distinct), which.astype(np.intp)), distinct
    there = np.zeros(reach, np.bool_)
    there[minutes - low] = True
    number = np.cumsum(there) - 1
    distinct = np.flatnonzero(there) + low
    return Basis(len(distinct), number[minutes - low]), distinct


@dataclass(frozen=True, slots=True, eq=False)
class Minutely:
    """Clocks and shifts at some minutes.

    Attributes:
        line: clocks and shifts over a stretch that holds them.
        basis: which minute each row has.
        minutes: of UTC, each once; shape (basis.size,).
        seconds: of each row, within its minute; None when no moment is told.
    """

    line: Timeline
    basis: Basis
    minutes: Minutes
    seconds: NDArray[np.int64] | None
    cells: Index = field(init=False)

    def __post_init__(self) -> None:
        cells = np.searchsorted(self.line.starts, self.minutes, "right") - 1
        object.__setattr__(self, "cells", cells)

    def point(self, shift: str) -> Index:
        """Which of a shift's weekly points came last; -1 where its clock shows nothing."""
        running = self.line.shifts[shift]
        return np.where(running.began.valid, running.point, -1)[self.cells]

    def valid(self, clock: str) -> Flags:
        """Where a clock shows anything."""
        return self.line.clocks[clock].valid[self.cells]

    def runs(self, clock: str) -> bool:
        """Whether the wall time of a clock goes on."""
        return self.line.clocks[clock].runs

    def feature(self, clock: str, name: str) -> Minutes:
        """A part of a date or time that a clock shows, 0 where it shows nothing."""
        track = self.line.clocks[clock]
        if name in FEATURES:
            days = np.where(track.valid, track.day, 0)[self.cells]
            values = FEATURES[name](days)
        else:
            values = TIMES[name](self.wall(track) % MINUTES_PER_DAY)
        return np.where(track.valid[self.cells], values, 0)

    def wall(self, track: Track) -> Minutes:
        """The wall time of a clock, in minutes."""
        wall = track.wall[self.cells]
        return wall + (self.minutes - self.line.starts[self.cells]) if track.runs else wall

    def values(self, clock: str, places: Sequence[int]) -> list[ClockValue]:
        """What a clock shows at some of the minutes; its wall time is naive."""
        track = self.line.clocks[clock]
        walls, days = self.wall(track), track.day[self.cells]
        return [ClockValue(wall_of(int(walls[at])), date_of(int(days[at]))) for at in places]

"""A stretch of time cut into cells in which every clock and shift of a plan stays on one day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from rasterc.source.message import Clock
from rasterc.tracing.tracks import OffsetsNear, Track, apply_step, fixed, read, running
from rasterc.values.clocks import ClockPlan
from rasterc.values.fields import ClockTable, ClockText, ShiftText
from rasterc.values.model import Instant
from rasterc.values.offsets import (
    Minutes,
    Offsets,
    check_horizon,
    merged,
    minute_of,
    offsets_between,
)
from rasterc.values.plan import Plan
from rasterc.values.steps import add_months
from rasterc.values.zones import settle

MAX_YEARS = 100
Which = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Timeline:
    """The clocks and shifts that the fields of a plan show, over one stretch of time.

    Attributes:
        starts: the first minute of UTC of each cell, shape (n,).
        end: where the last cell ends.
        clocks: the track of each clock, cut into the cells.
        shifts: for each shift the index of the running part in its schedule, shape (n,), and
            where it is known.
    """

    starts: Minutes
    end: int
    clocks: dict[str, Track]
    shifts: dict[str, tuple[Which, NDArray[np.bool_]]]

    @property
    def lengths(self) -> Minutes:
        """Minutes of each cell."""
        return np.diff(self.starts, append=self.end)

    def cut(self, starts: Minutes) -> Timeline:
        """The same with cells that begin at ``starts``, which hold all its own starts."""
        index = np.searchsorted(self.starts, starts, "right") - 1
        clocks = {name: track.cut(starts) for name, track in self.clocks.items()}
        shifts = {name: (w[index], known[index]) for name, (w, known) in self.shifts.items()}
        return Timeline(starts, self.end, clocks, shifts)


def stretch(plan: Plan, start: datetime, years: int) -> tuple[int, int]:
    """The minutes of UTC from ``start`` to so many calendar years later.

    A naive ``start`` is wall time in the zone of the message's clocks. A message that reads no
    clock has one minute only.

    Raises:
        InputError: the start does not exist or cannot be told, or the years cannot be looked at.
    """
    if not plan.clocks_read():
        check_horizon(None, years, MAX_YEARS)
        return 0, 1
    start = plan.at(Instant(start)).when()
    check_horizon(start, years, MAX_YEARS)
    zone = home_zone(plan)
    local = start.astimezone(zone)
    last_day = add_months(local.date(), 12 * years)
    end = settle(datetime.combine(last_day, local.time()), zone)
    return minute_of(start), minute_of(end)


def home_zone(plan: Plan) -> ZoneInfo:
    """The zone of the first clock the message reads; UTC when it reads none."""
    clocks = plan.clocks_read()
    return ZoneInfo(clocks[0].zone or "UTC") if clocks else ZoneInfo("UTC")


def timeline(plan: Plan, first: int, end: int) -> Timeline:
    """The cells of a plan from minute ``first`` of UTC to ``end``.

    Raises:
        InputError: a zone then differed from UTC by a part of a minute.
    """
    builder = _Builder(plan, first, end)
    for field in plan.fields:
        match field.source:
            case ClockText(clock, _) | ClockTable(clock, _, _):
                builder.clock(clock)
            case ShiftText(shift):
                builder.shift(shift)
    used = [builder.clocks[name] for name in builder.shown]
    shifts = {name: builder.shifts[name] for name in builder.shown_shifts}
    starts = common_starts([*used, *(began for began, _ in shifts.values())], first)
    return Timeline(
        starts,
        end,
        {name: builder.clocks[name].cut(starts) for name in builder.shown},
        {name: _label_of(began, which, starts) for name, (began, which) in shifts.items()},
    )


def common_starts(parts: Sequence[Track | Timeline], first: int) -> Minutes:
    """The starts of all parts, each once."""
    return merged(np.array([first], np.int64), *(p.starts for p in parts))


def _label_of(began: Track, which: Which, starts: Minutes) -> tuple[Which, NDArray[np.bool_]]:
    index = np.searchsorted(began.starts, starts, "right") - 1
    return which[index], began.valid[index]


class _Builder:
    """Makes tracks as fields ask for them, each once, as `rasterc.values.moment` does at once."""

    def __init__(self, plan: Plan, first: int, end: int) -> None:
        self.plan, self.first, self.end = plan, first, end
        self.clocks: dict[str, Track] = {}
        self.shifts: dict[str, tuple[Track, Which]] = {}
        self.shown: dict[str, None] = {}
        self.shown_shifts: dict[str, None] = {}

    def clock(self, name: str) -> None:
        self.shown[name] = None
        self._clock(name)

    def shift(self, name: str) -> None:
        self.shown_shifts[name] = None
        self._shift(name)

    def _clock(self, name: str) -> Track:
        if name not in self.clocks:
            self.clocks[name] = self._made(self.plan.clocks[name])
        return self.clocks[name]

    def _made(self, plan: ClockPlan) -> Track:
        track = self._start(plan.clock, plan)
        near = _near(plan.zone)
        for step in plan.clock.steps:
            track = apply_step(track, step, plan.clock, near, plan.day_from_minutes)
        return track

    def _start(self, clock: Clock, plan: ClockPlan) -> Track:
        if clock.base is not None:
            return self._clock(clock.base)
        if clock.shift is not None:
            return self._shift(clock.shift)[0]
        if clock.fixed is not None:
            return fixed(self.first, self.end, clock.fixed)
        assert plan.zone is not None
        offsets = offsets_between(plan.zone.key, self.first, self.end)
        return read(self.first, self.end, offsets, plan.day_from_minutes)

    def _shift(self, name: str) -> tuple[Track, Which]:
        if name not in self.shifts:
            schedule = self.plan.schedules[name]
            clock = self.plan.clocks[schedule.shift.clock]
            track = self._clock(schedule.shift.clock)
            self.shifts[name] = running(track, schedule, _near(clock.zone))
        return self.shifts[name]


def _near(zone: ZoneInfo | None) -> OffsetsNear | None:
    return None if zone is None else partial(_offsets_near, zone.key)


def _offsets_near(key: str, minutes: Minutes) -> Offsets:
    return offsets_between(key, int(minutes.min()), int(minutes.max()))

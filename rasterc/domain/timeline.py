"""A stretch of time cut into cells in which every clock and shift of a plan stays on one day.

Within a cell only the time of day goes on: a clock's wall time either runs with time or, for the
start of a shift and for a fixed date, stands still. What a message prints over ten years of minutes
is then a few thousand cells times the minutes in each.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import InputError
from rasterc.domain.tracks import (
    OffsetsNear,
    Running,
    Track,
    apply_step,
    each_day,
    every,
    fixed,
    pieces,
    read,
    running,
    start_of,
)
from rasterc.source.times import Clock, Offset
from rasterc.values.dates.clocks import ClockPlan
from rasterc.values.dates.offsets import Minutes, Offsets, merged, moment_of, offsets_between
from rasterc.values.fields.kinds import ClockTable, ClockText, ShiftText
from rasterc.values.plan import Plan

Which = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Timeline:
    """Clocks and shifts of a plan over one stretch of time.

    Attributes:
        starts: the first minute of UTC of each cell, shape (n,).
        end: where the last cell ends.
        clocks, shifts: by name, each cut into the cells.
    """

    starts: Minutes
    end: int
    clocks: Mapping[str, Track]
    shifts: Mapping[str, Running]

    def __len__(self) -> int:
        return len(self.starts)

    @property
    def ends(self) -> Minutes:
        """Where each cell ends."""
        return np.append(self.starts[1:], self.end)

    @property
    def lengths(self) -> Minutes:
        """Minutes of each cell."""
        return np.diff(self.starts, append=self.end)

    def cut(self, at: Minutes) -> Timeline:
        """The same, also cut at minutes ``at`` of UTC."""
        starts = merged(self.starts, at[(at > self.starts[0]) & (at < self.end)])
        return self.onto(starts)

    def onto(self, starts: Minutes) -> Timeline:
        """The same with cells that begin at ``starts``, which hold the starts of all its parts."""
        known: dict[int, Which] = {}  # tracks of one clock have the same starts

        def index(own: Minutes) -> Which:
            if id(own) not in known:
                known[id(own)] = pieces(own, starts)
            return known[id(own)]

        clocks = {n: track.onto(starts, index(track.starts)) for n, track in self.clocks.items()}
        shifts = {n: each.onto(starts, index(each.began.starts)) for n, each in self.shifts.items()}
        return Timeline(starts, self.end, clocks, shifts)

    def cut_every(self, clock: str, minutes: int) -> Timeline:
        """The same, also cut where the wall time of a running clock passes so many minutes."""
        track = self.clocks[clock]
        points = every(minutes, 0, track.wall, int(self.lengths.max()))
        return self.cut(track.cut_where(track.wall, points).starts)


@dataclass(slots=True)
class Tracks:
    """The clocks and shifts of a plan over minutes of UTC, each made when it is first asked for, as
    `rasterc.values.moment` does for one instant.

    ``timed`` are the clocks whose wall time matters; None for all. With ``typed``, the name of a
    typed date, time is that of its days: only what is counted from it may be asked for.
    """

    plan: Plan
    first: int
    end: int
    timed: Collection[str] | None = None
    typed: str = ""
    _clocks: dict[str, Track] = field(default_factory=dict)
    _shifts: dict[str, Running] = field(default_factory=dict)

    def __post_init__(self) -> None:
        assert self.plan.cases is None, "its cases are looked at one by one"
        if self.timed is not None:
            self.timed = _timed(self.plan, self.timed)

    def clock(self, name: str) -> Track:
        """A clock, valid where it stays within the years 1 to 9999.

        Raises:
            InputError: its zone then differed from UTC by a part of a minute.
        """
        if name not in self._clocks:
            self._clocks[name] = self._made(self.plan.clocks[name])
        return self._clocks[name]

    def sound(self, name: str) -> Track:
        """A clock that is valid all the time.

        Raises:
            InputError: it leaves the years 1 to 9999; or as for `clock`.
        """
        track = self.clock(name)
        if not track.valid.all():
            when = moment_of(int(track.starts[np.argmin(track.valid)]))
            raise InputError.one(
                "date-out-of-range",
                f"clock {name} leaves the years 1 to 9999 at {when:%Y-%m-%d %H:%M} UTC",
                self.plan.clocks[name].clock.span,
                "look at fewer years, or use offsets that stay within them",
            )
        return track

    def shift(self, name: str) -> Running:
        """A shift by its clock; raises as `clock`."""
        if name not in self._shifts:
            schedule = self.plan.schedules[name]
            self._shifts[name] = running(self.clock(schedule.shift.clock), schedule)
        return self._shifts[name]

    def line(self, clocks: Iterable[str], shifts: Iterable[str]) -> Timeline:
        """The timeline of some clocks and shifts."""
        tracks = {name: self.clock(name) for name in clocks}
        running = {name: self.shift(name) for name in shifts}
        parts = [*tracks.values(), *(shift.began for shift in running.values())]
        starts = {id(part.starts): part.starts for part in parts}
        first = np.array([self.first], np.int64)
        line = Timeline(first, self.end, tracks, running)
        return line.onto(merged(first, *starts.values()))

    def _made(self, plan: ClockPlan) -> Track:
        track = self._start(plan.clock, plan)
        near = _near(plan.zone)
        settles = self.timed is None or plan.clock.name in self.timed
        for step in plan.clock.steps:
            passes = isinstance(step, Offset) and step.unit.elapsed_minutes
            zone = near if settles or passes else None
            track = apply_step(track, step, plan.clock, zone, plan.day_from_minutes)
        return track

    def _start(self, clock: Clock, plan: ClockPlan) -> Track:
        if clock.base is not None:
            return self.clock(clock.base)
        if clock.shift is not None:
            return start_of(self.shift(clock.shift), _near(plan.zone))
        if clock.typed:
            assert clock.name == self.typed, f"{clock.name} does not go by the time"
            return each_day(self.first, self.end)
        if clock.fixed is not None:
            return fixed(self.first, self.end, clock.fixed)
        assert plan.zone is not None
        offsets = offsets_between(plan.zone.key, self.first, self.end)
        return read(self.first, self.end, offsets, plan.day_from_minutes)


def timeline(plan: Plan, first: int, end: int) -> Timeline:
    """The timeline of the clocks and shifts that the fields of a plan show, and that limit dates.

    Raises:
        InputError: a zone then differed from UTC by a part of a minute.
    """
    clocks: dict[str, None] = {}
    shifts: dict[str, None] = {}
    for each in plan.fields:
        match each.source:
            case ClockText(clock, _) | ClockTable(clock, _, _):
                clocks |= {} if plan.clocks[clock].root.typed else {clock: None}
            case ShiftText(shift):
                shifts[shift] = None
    for date in plan.dates.values():
        clocks |= dict.fromkeys((*date.firsts, *date.lasts))
    return Tracks(plan, first, end).line(clocks, shifts)


def _near(zone: ZoneInfo | None) -> OffsetsNear | None:
    return None if zone is None else partial(_offsets_near, zone.key)


def _offsets_near(key: str, minutes: Minutes) -> Offsets:
    return offsets_between(key, int(minutes.min()), int(minutes.max()))


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

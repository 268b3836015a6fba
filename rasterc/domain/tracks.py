"""One clock or shift over a stretch of time, as pieces in which it goes on evenly.

A `Track` is one clock cut into pieces: within a piece its day stays the same and its wall time
either goes on minute by minute or stands still. Every operation of `rasterc.values.dates.clocks`
and `rasterc.values.dates.shifts` is done here on all pieces at once: cut where the result would
jump, then compute each piece from its start.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.calendar import DAY_0, FIRST_DAY, LAST_DAY, move
from rasterc.source.times import Clock, Offset, Step
from rasterc.values.dates.offsets import Flags, Minutes, Offsets, merged
from rasterc.values.dates.shifts import MINUTES_PER_DAY, Schedule

OffsetsNear = Callable[[Minutes], Offsets]
"""The offsets of a zone, for a stretch that holds the given minutes."""


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A clock over the minutes of UTC from ``starts[0]`` to ``end``.

    Attributes:
        starts: where each piece begins, shape (n,); the other arrays have the same shape.
        end: where the last piece ends.
        runs: whether the wall time goes on; it stands still for a shift's start or a fixed date.
        wall: wall time at the start of each piece, in minutes since 1970-01-01 00:00.
        ahead: offset from UTC of that wall time; 0 for a fixed date.
        second: whether that wall time is the second of two when clocks go back.
        day: the day shown, in days since 1970-01-01.
        valid: False where the clock would leave the years 1 to 9999 and shows nothing.
    """

    starts: Minutes
    end: int
    runs: bool
    wall: Minutes
    ahead: Minutes
    second: Flags
    day: Minutes
    valid: Flags

    @property
    def lengths(self) -> Minutes:
        """Minutes of each piece."""
        return np.diff(self.starts, append=self.end)

    def cut(self, at: Minutes) -> Track:
        """The same clock, also cut at minutes ``at`` of UTC."""
        starts = merged(self.starts, at[(at > self.starts[0]) & (at < self.end)])
        return self.onto(starts, pieces(self.starts, starts))

    def onto(self, starts: Minutes, index: NDArray[np.intp]) -> Track:
        """The same clock in pieces that begin at ``starts``; see `pieces` for ``index``."""
        if len(starts) == len(self.starts):
            return self
        return replace(
            self,
            starts=starts,
            wall=self.wall[index] + self.runs * (starts - self.starts[index]),
            ahead=self.ahead[index],
            second=self.second[index],
            day=self.day[index],
            valid=self.valid[index],
        )

    def cut_where(self, values: Minutes, points: Minutes) -> Track:
        """The same clock, also cut where ``values``, which go on with it, reach ``points``.

        ``points`` are sorted.
        """
        if not self.runs:
            return self
        low = np.searchsorted(points, values, "right")
        counts = np.searchsorted(points, values + self.lengths, "left") - low
        piece = np.repeat(np.arange(len(counts)), counts)
        nth = np.arange(len(piece)) - np.repeat(np.cumsum(counts) - counts, counts)
        return self.cut(self.starts[piece] + points[low[piece] + nth] - values[piece])


def pieces(starts: Minutes, finer: Minutes) -> NDArray[np.intp]:
    """For each start of finer pieces the piece it lies in; these hold all starts of the others."""
    begin = np.searchsorted(finer, starts)
    return np.repeat(np.arange(len(starts)), np.diff(begin, append=len(finer)))


def every(period: int, phase: int, values: Minutes, length: int) -> Minutes:
    """All minutes ``phase`` modulo ``period`` that ``values``, and ``length`` more, can reach."""
    first = (int(values.min()) - phase) // period
    last = (int(values.max()) + length - phase) // period
    return np.arange(first, last + 1, dtype=np.int64) * period + phase


def _lasting(track: Track) -> int:
    return int(track.lengths.max())


def read(first: int, end: int, offsets: Offsets, day_from_minutes: int) -> Track:
    """A clock read from the instant, over the minutes ``first`` to ``end`` of UTC."""
    starts = np.array([first], np.int64)
    nothing, no = np.zeros(1, np.int64), np.zeros(1, np.bool_)
    whole = Track(starts, end, True, nothing, nothing, no, nothing, ~no)
    track = whole.cut(offsets.utc_edges)
    return _by_offsets(track, track.starts, offsets, day_from_minutes)


def fixed(first: int, end: int, day: date) -> Track:
    """A fixed date: midnight of that day, in no zone."""
    number = np.array([(day - DAY_0).days], np.int64)
    no = np.zeros(1, np.bool_)
    starts, nothing = np.array([first], np.int64), np.zeros(1, np.int64)
    return Track(starts, end, False, number * MINUTES_PER_DAY, nothing, no, number, ~no)


def each_day(first: int, end: int) -> Track:
    """A date that goes on day by day, over the minutes ``first`` to ``end`` of those days."""
    starts = np.arange(first, end, MINUTES_PER_DAY, dtype=np.int64)
    nothing, no = np.zeros_like(starts), np.zeros(len(starts), np.bool_)
    return Track(starts, end, False, starts, nothing, no, starts // MINUTES_PER_DAY, ~no)


def _by_offsets(track: Track, utc: Minutes, offsets: Offsets, day_from_minutes: int) -> Track:
    """The track's clock at the moments ``utc``; it has been cut where offsets change."""
    ahead = offsets.at(utc)
    wall = utc + ahead
    second = offsets.is_second(wall, ahead)
    return _by_day(replace(track, wall=wall, ahead=ahead, second=second), day_from_minutes)


def _by_day(track: Track, day_from_minutes: int) -> Track:
    """The day that follows from the wall time."""
    boundaries = every(MINUTES_PER_DAY, day_from_minutes, track.wall, _lasting(track))
    track = track.cut_where(track.wall, boundaries)
    day = (track.wall - day_from_minutes) // MINUTES_PER_DAY
    valid = track.valid & (day >= FIRST_DAY) & (day < LAST_DAY)
    return replace(track, day=day, valid=valid)


def apply_step(track: Track, step: Step, clock: Clock, zone: OffsetsNear | None, day: int) -> Track:
    """The track after a step of ``clock``; its days begin ``day`` minutes after midnight.

    Without a ``zone`` wall times are not settled: the date is fixed, or only days matter.
    """
    if isinstance(step, Offset) and (each := step.unit.elapsed_minutes):
        return _let_pass(track, step.amount * each, zone, day)
    return _move_day(track, step, clock, zone)


def _let_pass(track: Track, elapsed: int, zone: OffsetsNear | None, day_from_minutes: int) -> Track:
    if zone is None:
        return _by_day(replace(track, wall=track.wall + elapsed), day_from_minutes)
    utc = track.wall - track.ahead + elapsed
    offsets = zone(utc)
    track = track.cut_where(utc, offsets.utc_edges)
    return _by_offsets(track, track.wall - track.ahead + elapsed, offsets, day_from_minutes)


def _move_day(track: Track, step: Step, clock: Clock, zone: OffsetsNear | None) -> Track:
    first = int(track.day.min())
    table = move(np.arange(first, int(track.day.max()) + 1), step, clock.short_month)
    to = table[track.day - first]  # each day between the first and the last is moved once
    reached = (to >= FIRST_DAY) & (to <= LAST_DAY)
    if not reached.all():
        to = np.where(reached, to, track.day)
    wall = track.wall + (to - track.day) * MINUTES_PER_DAY
    track = replace(track, wall=wall, day=to, valid=track.valid & reached)
    return track if zone is None else _settled(track, zone(wall))


def _settled(track: Track, offsets: Offsets) -> Track:
    """The moments the track's wall times stand for, as `rasterc.values.dates.zones.settle` does."""
    track = track.cut_where(track.wall, offsets.wall_edges)
    wall, ahead = offsets.settle(track.wall, track.second)
    return replace(track, wall=wall, ahead=ahead, second=offsets.is_second(wall, ahead))


@dataclass(frozen=True, slots=True, eq=False)
class Running:
    """The running part of a shift: when it began, and which of its schedule's points that was.

    ``began`` stands still at the wall time of the schedule, also where the clocks skip it.
    """

    began: Track
    point: NDArray[np.intp]

    def onto(self, starts: Minutes, index: NDArray[np.intp]) -> Running:
        """The same shift in pieces that begin at ``starts``; see `pieces` for ``index``."""
        return Running(self.began.onto(starts, index), self.point[index])


def running(track: Track, schedule: Schedule) -> Running:
    """A shift by the clock of a track."""
    points, turn = np.array(schedule.points, np.int64), schedule.turn_minutes
    first = (schedule.shift.turn.first - DAY_0).days * MINUTES_PER_DAY
    turns = every(turn, first, track.wall, _lasting(track))
    track = track.cut_where(track.wall, (turns[:, None] + points).ravel())
    minute = (track.wall - first) % turn
    index = np.searchsorted(points, minute, "right") - 1
    began = track.wall - (minute - points[index]) % turn
    day = (began - schedule.day_from_minutes) // MINUTES_PER_DAY
    nothing = np.zeros_like(track.second)
    valid = track.valid & (began >= FIRST_DAY * MINUTES_PER_DAY) & (day >= FIRST_DAY)
    still = replace(track, runs=False, wall=began, day=day, second=nothing, valid=valid)
    return Running(still, index % len(points))


def start_of(shift: Running, zone: OffsetsNear | None) -> Track:
    """What `start of` a shift shows: where clocks skip a beginning the first moment after the
    change, of one that comes twice the first."""
    if zone is None:
        return shift.began
    offsets = zone(shift.began.wall)
    return _settled(replace(shift.began, wall=offsets.gap_ends(shift.began.wall)), offsets)

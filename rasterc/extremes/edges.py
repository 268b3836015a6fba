"""Instants worth a look: where days, years, shifts and counters begin and clocks change."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from rasterc.domain.calendar import FEATURES
from rasterc.domain.timeline import Tracks
from rasterc.domain.tracks import Track
from rasterc.extremes.dates import printed_clocks
from rasterc.extremes.group import Assignment
from rasterc.extremes.model import Edge, Witness
from rasterc.source.declarations import AtEnd, Counter
from rasterc.values import Plan
from rasterc.values.dates.offsets import Flags, offsets_between
from rasterc.values.dates.patterns import Shows
from rasterc.values.fields.kinds import ClockTable, ClockText, CounterText, ShiftText

Named = tuple[str, Assignment]


def edges(plan: Plan, tracks: Tracks, witness: Callable[[Assignment], Witness]) -> Iterator[Edge]:
    """The first edge of each kind in the horizon, and the minute before where there is one."""
    for name, assignment in _named(plan, tracks):
        yield Edge(name, witness(assignment))


def _named(plan: Plan, tracks: Tracks) -> Iterator[Named]:
    if plan.clocks_read():
        yield from _days(plan, tracks)
        yield from _clock_changes(plan, tracks)
        yield from _shifts(plan, tracks)
    printed = [f.source.counter for f in plan.fields if isinstance(f.source, CounterText)]
    for counter in {counter.name: counter for counter in printed}.values():
        yield from _counter(counter)


def _days(plan: Plan, tracks: Tracks) -> Iterator[Named]:
    for clock in plan.clocks_read():
        if clock.day_from_minutes:
            track = tracks.sound(clock.name)
            changes = np.diff(track.day) != 0
            yield from _both_sides(track, f"day of {clock.name} begins", changes)
    weeks = _clocks_with_weeks(plan)
    for name in printed_clocks(plan, Shows.DAY):
        track = tracks.sound(name)
        day = track.day
        first, days = int(day.min()), np.arange(int(day.min()), int(day.max()) + 1)
        leap = (FEATURES["month"](days) == 2) & (FEATURES["day"](days) == 29)
        yield from _first(track, f"{name} on a leap day", leap[day - first])
        year = FEATURES["year"](days)[day - first]
        yield from _both_sides(track, f"year of {name} begins", np.diff(year) != 0)
        if name in weeks:
            week = FEATURES["week"](days)[day - first]
            yield from _first(track, f"{name} in week 53", week == 53)


def _clocks_with_weeks(plan: Plan) -> set[str]:
    return {
        field.source.clock
        for field in plan.fields
        if isinstance(field.source, ClockText)
        and any(part.letter in ("w", "Y") and part.letter for part in field.source.pattern.parts)
    }


def _clock_changes(plan: Plan, tracks: Tracks) -> Iterator[Named]:
    first, end = tracks.first, tracks.end
    for zone in dict.fromkeys(clock.zone for clock in plan.clocks_read()):
        assert zone is not None
        offsets = offsets_between(zone, first, end)
        steps = np.diff(offsets.ahead)
        inside = (offsets.changes > first) & (offsets.changes < end)
        for name, chosen in (("forward", steps > 0), ("back", steps < 0)):
            at = np.flatnonzero(chosen & inside)
            if len(at):
                minute = int(offsets.changes[at[0]])
                yield from _around(f"clocks go {name} in {zone}", minute)


def _shifts(plan: Plan, tracks: Tracks) -> Iterator[Named]:
    printed = {field.source.shift for field in plan.fields if isinstance(field.source, ShiftText)}
    used = set(_shifts_of_clocks(plan))
    for name, schedule in plan.schedules.items():
        if name not in printed | used or plan.clocks[schedule.shift.clock].root.zone is None:
            continue
        running = tracks.shift(name)
        starts = running.began.starts
        begins = np.flatnonzero(np.diff(running.began.wall) != 0) + 1
        points = running.point[begins]
        for label in dict.fromkeys(schedule.labels):
            mine = [i for i, other in enumerate(schedule.labels) if other == label]
            at = begins[np.isin(points, mine)]
            if len(at):
                yield from _around(f'shift {name} "{label}" begins', int(starts[at[0]]))


def _shifts_of_clocks(plan: Plan) -> Iterator[str]:
    """Shifts that printed clocks are derived from."""
    for field in plan.fields:
        if not isinstance(field.source, ClockText | ClockTable):
            continue
        clock = plan.clocks[field.source.clock].clock
        while clock.base is not None or clock.shift is not None:
            if clock.shift is not None:
                yield clock.shift
                clock = plan.clocks[plan.schedules[clock.shift].shift.clock].clock
            elif clock.base is not None:
                clock = plan.clocks[clock.base].clock


def _counter(counter: Counter) -> Iterator[Named]:
    values = counter.values
    yield f"{counter.name} at its first value", Assignment(counters={counter.name: values[0]})
    after = "then wraps" if counter.at_end is AtEnd.WRAP else "then stops"
    name = f"{counter.name} at its last value, {after}"
    yield name, Assignment(counters={counter.name: values[-1]})


def _both_sides(track: Track, name: str, changes: Flags) -> Iterator[Named]:
    at = np.flatnonzero(changes)
    if len(at):
        yield from _around(name, int(track.starts[at[0] + 1]))


def _around(name: str, minute: int) -> Iterator[Named]:
    yield f"minute before {name}", Assignment(minute=minute - 1)
    yield name, Assignment(minute=minute)


def _first(track: Track, name: str, where: Flags) -> Iterator[Named]:
    at = np.flatnonzero(where)
    if len(at):
        yield name, Assignment(minute=int(track.starts[at[0]]))

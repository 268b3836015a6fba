"""The first and last date that each field prints."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from rasterc.domain.calendar import date_of
from rasterc.domain.timeline import Timeline, Tracks
from rasterc.domain.typed import Allowed, allowed, printer_of_days
from rasterc.extremes.group import Assignment
from rasterc.extremes.model import DateRange, Witness
from rasterc.values import Plan
from rasterc.values.dates.patterns import Shows
from rasterc.values.fields.kinds import ClockText

Witnesses = Callable[[Assignment], Witness]


def date_ranges(plan: Plan, tracks: Tracks, witness: Witnesses) -> Iterator[DateRange]:
    """The dates of each clock that is read from the instant and printed with date letters."""
    for name in printed_clocks(plan, Shows.DAY):
        track = tracks.sound(name)
        first, last = int(track.day.argmin()), int(track.day.argmax())
        yield DateRange(
            name,
            date_of(track.day[first]),
            date_of(track.day[last]),
            witness(Assignment(minute=int(track.starts[first]))),
            witness(Assignment(minute=int(track.starts[last]))),
        )


def typed_ranges(plan: Plan, minutes: tuple[int, int], witness: Witnesses) -> Iterator[DateRange]:
    """The same of each typed date that is printed, and of what is counted from it."""
    line = Tracks(plan, *minutes).line(_limits(plan), ())
    for name in dict.fromkeys(_typed(plan)):
        date = plan.clocks[name].root.name
        window = allowed(plan.dates[date], line)
        days = window.ends()
        if days is None:
            continue
        shown = printer_of_days(plan, date, *days).timeline.clocks[name].day
        places = int(shown.argmin()), int(shown.argmax())
        given = [_given(plan, date, window, line, days[0] + place) for place in places]
        first, last = (date_of(shown[place]) for place in places)
        yield DateRange(name, first, last, *map(witness, given))


def _limits(plan: Plan) -> list[str]:
    return [end for date in plan.dates.values() for end in (*date.firsts, *date.lasts)]


def _typed(plan: Plan) -> Iterator[str]:
    for field in plan.fields:
        source = field.source
        if isinstance(source, ClockText) and plan.clocks[source.clock].root.typed:
            yield source.clock


def _given(plan: Plan, name: str, window: Allowed, line: Timeline, day: int) -> Assignment:
    """The first minute at which a date may be a day, and that day."""
    cell = int(np.flatnonzero((window.first <= day) & (day <= window.last))[0])
    minute = int(line.starts[cell]) if plan.clocks_read() else None
    return Assignment(minute=minute, inputs={name: plan.dates[name].text(date_of(day))})


def printed_clocks(plan: Plan, shows: Shows) -> list[str]:
    """Clocks read from the instant that some date pattern shows this part of, in order."""
    names: dict[str, None] = {}
    for field in plan.fields:
        source = field.source
        if not isinstance(source, ClockText) or plan.clocks[source.clock].root.zone is None:
            continue
        if any(part.shows is shows for part in source.pattern.parts):
            names[source.clock] = None
    return list(names)

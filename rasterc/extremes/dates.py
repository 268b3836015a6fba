"""The first and last date that each field prints."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rasterc.domain.calendar import date_of
from rasterc.domain.timeline import Tracks
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

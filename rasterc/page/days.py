"""The days on which something happens to what a message prints, over some years.

Ends of months and years, leap days, clock changes of the zones it reads, and its fixed dates.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from msgspec import Struct

from rasterc.values.dates.zones import settle

if TYPE_CHECKING:
    from rasterc.code import Code
    from rasterc.values.dates.shifts import Schedule

_DAY = timedelta(days=1)


class Day(Struct, frozen=True):
    """A day, ISO 8601, what kind of day it is, and why it is of interest."""

    day: str
    kind: str
    said: str


def days_of(code: Code, start: datetime, years: int) -> tuple[Day, ...]:
    """The days within so many years after a moment, in order; none for what reads no clock."""
    clocks = code.plan.clocks_read()
    if not clocks or start.year + years > 9000:
        return ()
    zones = {clock.zone for clock in clocks if clock.zone}
    first = start.astimezone(ZoneInfo(sorted(zones)[0])).date()
    last = first + timedelta(days=366 * years)
    found = [*_calendar(first, last), *_changes(zones, start, years), *_fixed(code, first, last)]
    return tuple(sorted(found, key=lambda one: one.day))


def _calendar(first: date, last: date) -> Iterator[Day]:
    for year in range(first.year, last.year + 1):
        for month in range(1, 13):
            end = date(year + month // 12, month % 12 + 1, 1) - _DAY
            if first <= end <= last:
                yield Day(end.isoformat(), *_ending(end))


def _ending(end: date) -> tuple[str, str]:
    if end.month == 12:
        return "year", "the year ends"
    if (end.month, end.day) == (2, 29):
        return "leap", "leap day, and the month ends"
    return "month", "the month ends"


def _changes(zones: set[str], start: datetime, years: int) -> Iterator[Day]:
    from rasterc.checks.clock_changes import clock_changes

    for zone in sorted(zones):
        for change in clock_changes(ZoneInfo(zone), start.astimezone(UTC), 366 * years):
            way = "back" if change.shift < timedelta() else "forward"
            yield Day(change.moment.date().isoformat(), "clock", f"clocks go {way} in {zone}")


def _fixed(code: Code, first: date, last: date) -> Iterator[Day]:
    for clock in code.message.clocks.values():
        if clock.fixed is not None and first <= clock.fixed <= last:
            yield Day(clock.fixed.isoformat(), "date", f"the fixed date of {clock.name}")


def shift_edge(code: Code, moment: datetime, back: bool) -> datetime | None:
    """The next moment at which a part of a shift begins, or the last one before; None without."""
    edges = {
        edge.astimezone(UTC): edge
        for schedule in code.plan.schedules.values()
        if (zone := code.plan.clocks[schedule.shift.clock].zone) is not None
        for edge in _shift_edges(schedule, moment, zone)
    }
    now = moment.astimezone(UTC)
    found = [at for at in edges if (at < now if back else at > now)]
    return edges[max(found) if back else min(found)] if found else None


def _shift_edges(schedule: Schedule, moment: datetime, zone: ZoneInfo) -> Iterator[datetime]:
    """Every beginning in the week before a moment, in its week and in the week after it."""
    day = moment.astimezone(zone).date()
    for week in (-7, 0, 7):
        monday = datetime.combine(day + timedelta(week - day.weekday()), time())
        for point in schedule.points:
            yield settle(monday + timedelta(minutes=point), zone)

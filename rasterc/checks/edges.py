"""Instants at which codes go wrong first: ends of months and years, clock changes, shift edges."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo

from rasterc.checks.clock_changes import clock_changes
from rasterc.checks.printed.durability import fixed_days
from rasterc.checks.subject import Subject
from rasterc.source.times import Clock
from rasterc.values.dates.shifts import Schedule
from rasterc.values.dates.zones import settle

_MINUTE = timedelta(minutes=1)
_DAY = timedelta(days=1)


def edge_instants(subject: Subject, years: int) -> tuple[datetime, ...]:
    """The edges within so many years from the subject's instant, it included, in order of time.

    For every clock the printed fields read, in its own zone and with its own start of the day:
    the first and the last minute of every month; the days around every turn of a year, in which
    weeks 52, 53 and 1 fall; the minutes around every clock change; the edges of a shift through a
    week or a turn of its roster; every hour of a day. Leap days are ends of months. And the day
    after every fixed date. Empty for a message that reads no clock, unless it prints a fixed date
    and the instant is known.
    """
    start = subject.when
    if start is None:
        return _after_fixed_days(subject, years)
    begin = start.astimezone(UTC)  # comparing within one zone would go by the wall
    until = begin + timedelta(days=366 * years)
    found = {begin: start} | {
        moment.astimezone(UTC): moment for moment in _after_fixed_days(subject, years)
    }
    for clock in subject.plan.clocks_read():
        zone = subject.plan.clocks[clock.name].zone
        assert zone is not None
        for moment in _edges(subject, clock, zone, begin, until):
            if begin < moment.astimezone(UTC) <= until:
                found.setdefault(moment.astimezone(UTC), moment)
    return tuple(found[moment] for moment in sorted(found))


def _after_fixed_days(subject: Subject, years: int) -> tuple[datetime, ...]:
    """The instant and the beginnings of the days after fixed dates; empty without such dates."""
    start = subject.resolved.instant.when
    days = sorted({last + _DAY for _, last in fixed_days(subject)})
    if start is None or not days:
        return ()
    until = start + timedelta(days=366 * years)
    midnights = (_midnight(day, start.tzinfo) for day in days)
    return (start, *(moment for moment in midnights if start < moment <= until))


def _midnight(day: date, zone: tzinfo | None) -> datetime:
    wall = datetime.combine(day, time())
    return settle(wall, zone) if isinstance(zone, ZoneInfo) else wall.replace(tzinfo=zone)


def _edges(
    subject: Subject, clock: Clock, zone: ZoneInfo, start: datetime, until: datetime
) -> Iterator[datetime]:
    first, last = start.astimezone(zone).date(), until.astimezone(zone).date()
    day_from = timedelta(minutes=clock.day_from_minutes)
    for day in _days(first, last):
        begin = settle(datetime.combine(day, time()) + day_from, zone)
        yield begin
        yield (begin.astimezone(UTC) - _MINUTE).astimezone(zone)
    for change in clock_changes(zone, start, (until - start).days):
        at, by = change.moment.astimezone(UTC), abs(change.shift)
        for moment in (at - by, at - _MINUTE, at, at + by - _MINUTE, at + by):
            yield moment.astimezone(zone)
    for hour in range(24):
        yield (start.astimezone(UTC) + timedelta(hours=hour)).astimezone(zone)
    for schedule in subject.plan.schedules.values():
        yield from _shift_edges(schedule, first, zone)


def _days(first: date, last: date) -> Iterator[date]:
    """Days that begin a month, lie around a turn of the year, or in the first week."""
    for ahead in range((last - first).days + 1):
        day = first + ahead * _DAY
        turn = (day.month == 12 and day.day >= 28) or (day.month == 1 and day.day <= 4)
        if ahead < 8 or day.day == 1 or turn or (day.month, day.day) == (2, 29):
            yield day


def _shift_edges(schedule: Schedule, first: date, zone: ZoneInfo) -> Iterator[datetime]:
    """Every beginning of a shift in one week or turn of a roster, and the minute before."""
    turn = schedule.shift.turn
    begins = first + (turn.days - turn.day(first)) * _DAY
    for point in schedule.points:
        wall = datetime.combine(begins, time()) + timedelta(minutes=point)
        yield settle(wall, zone)
        yield settle(wall - _MINUTE, zone)

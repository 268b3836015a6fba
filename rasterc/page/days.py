"""The days ahead of a message for the ribbon, and the edges of its production days and shifts."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from rasterc.code import Code
    from rasterc.printed import Print
    from rasterc.profile.model import LineProfile
    from rasterc.search.days import Ahead

_WEEK = timedelta(days=8)  # in which every part of a shift begins once


class Day(Struct, frozen=True):
    """A day, ISO 8601, what kind of day it is, and what happens."""

    day: str
    kind: str
    said: str


def ahead_of(printed: Print, profile: LineProfile | None, start: datetime, years: int) -> Ahead:
    """The days on which a message ends or begins anew; none for what has no moment."""
    from rasterc.search.days import Ahead, coming_days

    if printed.resolved.instant.when is None:
        return Ahead()
    return coming_days(printed.subject(profile), start, years)


def days_of(
    printed: Print, profile: LineProfile | None, start: datetime, years: int
) -> tuple[Day, ...]:
    """All days of interest within so many years after a moment, in order, those of the calendar
    too; none for what reads no clock."""
    from rasterc.search.days import calendar_days, changes_of_clocks

    plan = printed.code.plan
    if not plan.clocks_read():
        return ()
    first = start.date()
    found = [
        *calendar_days(first, first + timedelta(days=366 * years)),
        *changes_of_clocks(plan, start, years),
        *ahead_of(printed, profile, start, years).days,
    ]
    found.sort(key=lambda one: (one.day, one.kind))
    return tuple(Day(one.day.isoformat(), str(one.kind), one.said) for one in found)


def shift_edge(code: Code, moment: datetime, back: bool) -> datetime | None:
    """The next moment at which a part of a shift begins, or the last one before; None without."""
    from rasterc.search.days import edges_of

    if not code.plan.schedules:
        return None
    now = moment.astimezone(UTC)
    window = (now - _WEEK, now) if back else (now, now + _WEEK)
    edges = [one.at for one in edges_of(code.plan, *window) if one.label]
    found = [at for at in edges if (at < now if back else at > now)]
    return (max(found) if back else min(found)) if found else None

"""What dates and times are made of: the parts that date letters print and counters restart by.

Each part is read in two ways, by the same rules: of one clock value, and of many days (or minutes
of a day) at once. Weeks and weekdays are those of ISO 8601.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from math import inf
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.values.dates.clocks import ClockValue
from rasterc.values.dates.days import (
    iso_thursdays,
    iso_week,
    month_starts,
    months,
    weekdays,
    years,
)

if TYPE_CHECKING:
    from rasterc.values.dates.days import Days

_DAY = 24 * 60.0


class Shows(StrEnum):
    """What part of a clock a letter shows."""

    DAY = "day"  # the production day
    TIME = "time"  # the wall time


class DatePart(Struct, frozen=True):
    """A part of a day or of a time.

    Attributes:
        name: what it is called.
        shows: what it is read from.
        longest_minutes: how long it stays the same at most.
        of: the part of one clock value.
        of_many: the same of many days (1970-01-01 = 0), or of many minutes since midnight.
        returns: each of its numbers comes again, within eight years.
    """

    name: str
    shows: Shows
    longest_minutes: float
    of: Callable[[ClockValue], int]
    of_many: Callable[[Days], Days]
    returns: bool = True


def _day(
    name: str,
    days: float,
    of: Callable[[ClockValue], int],
    of_many: Callable[[Days], Days],
    returns: bool = True,
) -> DatePart:
    return DatePart(name, Shows.DAY, days * _DAY, of, of_many, returns)


def _time(
    name: str, minutes: float, of: Callable[[ClockValue], int], of_many: Callable[[Days], Days]
) -> DatePart:
    return DatePart(name, Shows.TIME, minutes, of, of_many)


ERA = _day("era", inf, lambda _: 1, lambda days: days * 0 + 1)
YEAR = _day("year", 366, lambda v: v.day.year, lambda days: years(days) + 1970, returns=False)
ISO_YEAR = _day(
    "iso year",
    371,
    lambda v: v.day.isocalendar()[0],
    lambda days: years(iso_thursdays(days)) + 1970,
    returns=False,
)
QUARTER = _day(
    "quarter", 92, lambda v: (v.day.month + 2) // 3, lambda days: months(days) % 12 // 3 + 1
)
MONTH = _day("month", 31, lambda v: v.day.month, lambda days: months(days) % 12 + 1)
WEEK = _day("week", 7, lambda v: v.day.isocalendar()[1], iso_week)
DAY = _day("day", 1, lambda v: v.day.day, lambda days: days - month_starts(months(days)) + 1)
DAY_OF_YEAR = _day(
    "day of year",
    1,
    lambda v: v.day.timetuple()[7],
    lambda days: days - month_starts(years(days) * 12) + 1,
)
WEEKDAY = _day("weekday", 1, lambda v: v.day.isoweekday(), lambda days: weekdays(days) + 1)
HALF_DAY = _time("half day", 720, lambda v: v.wall.hour // 12, lambda minutes: minutes // 720)
HOUR_OF_HALF = _time(
    "hour of half", 60, lambda v: v.wall.hour % 12, lambda minutes: minutes // 60 % 12
)
HOUR = _time("hour", 60, lambda v: v.wall.hour, lambda minutes: minutes // 60)
MINUTE = _time("minute", 1, lambda v: v.wall.minute, lambda minutes: minutes % 60)
SECOND = _time("second", 1 / 60, lambda v: v.wall.second, lambda minutes: minutes * 0)

PARTS: Mapping[str, DatePart] = {
    part.name: part
    for part in (
        ERA,
        YEAR,
        ISO_YEAR,
        QUARTER,
        MONTH,
        WEEK,
        DAY,
        DAY_OF_YEAR,
        WEEKDAY,
        HALF_DAY,
        HOUR_OF_HALF,
        HOUR,
        MINUTE,
        SECOND,
    )
}
"""Every part, by name."""

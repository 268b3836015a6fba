"""Calendar arithmetic on many days at once. Days count from 1970-01-01 = 0.

The same rules as `rasterc.values.dates.steps` and `rasterc.values.dates.patterns`, which take one
day at a time; the tests hold the two against each other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from functools import partial

import numpy as np
from numpy.typing import NDArray

from rasterc.source.declarations import MoveTo, Offset, ShortMonth, Step, Target, Unit

Days = NDArray[np.int64]

DAY_0 = date(1970, 1, 1)
FIRST_DAY = (date.min - DAY_0).days
LAST_DAY = (date.max - DAY_0).days


def date_of(day: int) -> date:
    """The date of a day number."""
    return DAY_0 + timedelta(days=int(day))


def move(days: Days, step: Step, rule: ShortMonth) -> Days:
    """Every day moved by a calendar step; results may leave the years 1 to 9999."""
    if isinstance(step, MoveTo):
        return _MOVES[step.target](days, step.weekday or 0)
    match step.unit:
        case Unit.DAY:
            return days + step.amount
        case Unit.WEEK:
            return days + 7 * step.amount
        case _:
            return _add_months(days, step, rule)


def _months(days: Days) -> Days:
    """Months since January 1970."""
    months: Days = days.astype("M8[D]").astype("M8[M]").astype(np.int64)
    return months


def _month_starts(months: Days) -> Days:
    starts: Days = months.astype("M8[M]").astype("M8[D]").astype(np.int64)
    return starts


def _add_months(days: Days, step: Offset, rule: ShortMonth) -> Days:
    months = _months(days)
    day = days - _month_starts(months)
    months = months + step.amount * (12 if step.unit is Unit.YEAR else 1)
    start, following = _month_starts(months), _month_starts(months + 1)
    moved = start + day
    if rule is ShortMonth.CARRY:
        return moved
    return np.minimum(moved, following if rule is ShortMonth.NEXT_DAY else following - 1)


def _weekdays(days: Days) -> Days:
    """Monday = 0; 1970-01-01 was a Thursday."""
    return (days + 3) % 7


def _years(days: Days) -> Days:
    return _months(days) // 12


_MOVES: Mapping[Target, Callable[[Days, int], Days]] = {
    Target.MONTH_START: lambda days, _: _month_starts(_months(days)),
    Target.MONTH_END: lambda days, _: _month_starts(_months(days) + 1) - 1,
    Target.YEAR_START: lambda days, _: _month_starts(_years(days) * 12),
    Target.YEAR_END: lambda days, _: _month_starts(_years(days) * 12 + 12) - 1,
    Target.WEEKDAY: lambda days, to: days + (to - _weekdays(days)) % 7,
    Target.NEXT_WEEKDAY: lambda days, to: days + (to - _weekdays(days) - 1) % 7 + 1,
    Target.PREVIOUS_WEEKDAY: lambda days, to: days - 7 + (to - _weekdays(days)) % 7,
}


def _iso_thursdays(days: Days) -> Days:
    """The Thursday of each day's week, whose year the week belongs to (ISO 8601)."""
    return days - _weekdays(days) + 3


def _iso_week(days: Days) -> Days:
    thursdays = _iso_thursdays(days)
    return (thursdays - _month_starts(_years(thursdays) * 12)) // 7 + 1


FEATURES: Mapping[str, Callable[[Days], Days]] = {
    "year": lambda days: _years(days) + 1970,
    "iso year": lambda days: _years(_iso_thursdays(days)) + 1970,
    "quarter": lambda days: _months(days) % 12 // 3 + 1,
    "month": lambda days: _months(days) % 12 + 1,
    "week": _iso_week,
    "day": lambda days: days - _month_starts(_months(days)) + 1,
    "day of year": lambda days: days - _month_starts(_years(days) * 12) + 1,
    "weekday": lambda days: _weekdays(days) + 1,
    "date": lambda days: days,
}
"""What date letters show, by name."""


def _divided(part: int, minutes: Days) -> Days:
    return minutes // part


TIMES: Mapping[str, Callable[[Days], Days]] = {
    "half day": partial(_divided, 12 * 60),
    "hour of half": lambda minutes: minutes // 60 % 12,
    "hour": partial(_divided, 60),
    "minute": lambda minutes: minutes % 60,
    "time": lambda minutes: minutes,
}
"""What time letters show, from minutes since midnight."""

OF_LETTER: Mapping[str, str] = {
    **dict.fromkeys("y", "year"),
    **dict.fromkeys("Y", "iso year"),
    **dict.fromkeys("Qq", "quarter"),
    **dict.fromkeys("ML", "month"),
    **dict.fromkeys("w", "week"),
    **dict.fromkeys("d", "day"),
    **dict.fromkeys("D", "day of year"),
    **dict.fromkeys("Eec", "weekday"),
    **dict.fromkeys("a", "half day"),
    **dict.fromkeys("hK", "hour of half"),
    **dict.fromkeys("Hk", "hour"),
    **dict.fromkeys("m", "minute"),
    **dict.fromkeys("s", "second"),
}
"""The feature each pattern letter shows."""

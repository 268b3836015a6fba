"""Calendar arithmetic on many days at once. Days count from 1970-01-01 = 0.

The same rules as `rasterc.values.dates.steps` and `rasterc.values.dates.patterns`, which take one
day at a time; the tests hold the two against each other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from rasterc.source.times import MoveTo, Offset, ShortMonth, Step, Target, Unit
from rasterc.values.dates.days import month_starts, months, weekdays, years
from rasterc.values.dates.parts import PARTS, Shows
from rasterc.values.dates.patterns import LETTERS

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


def _add_months(days: Days, step: Offset, rule: ShortMonth) -> Days:
    month = months(days)
    day = days - month_starts(month)
    month = month + step.amount * (12 if step.unit is Unit.YEAR else 1)
    start, following = month_starts(month), month_starts(month + 1)
    moved = start + day
    if rule is ShortMonth.CARRY:
        return moved
    return np.minimum(moved, following if rule is ShortMonth.NEXT_DAY else following - 1)


_MOVES: Mapping[Target, Callable[[Days, int], Days]] = {
    Target.MONTH_START: lambda days, _: month_starts(months(days)),
    Target.MONTH_END: lambda days, _: month_starts(months(days) + 1) - 1,
    Target.YEAR_START: lambda days, _: month_starts(years(days) * 12),
    Target.YEAR_END: lambda days, _: month_starts(years(days) * 12 + 12) - 1,
    Target.WEEKDAY: lambda days, to: days + (to - weekdays(days)) % 7,
    Target.NEXT_WEEKDAY: lambda days, to: days + (to - weekdays(days) - 1) % 7 + 1,
    Target.PREVIOUS_WEEKDAY: lambda days, to: days - 7 + (to - weekdays(days)) % 7,
}


FEATURES: Mapping[str, Callable[[Days], Days]] = {
    **{part.name: part.of_many for part in PARTS.values() if part.shows is Shows.DAY},
    "date": lambda days: days,
}
"""What date letters show, by name."""

TIMES: Mapping[str, Callable[[Days], Days]] = {
    **{part.name: part.of_many for part in PARTS.values() if part.shows is Shows.TIME},
    "time": lambda minutes: minutes,
}
"""What time letters show, from minutes since midnight."""

OF_LETTER: Mapping[str, str] = {letter: entry.part.name for letter, entry in LETTERS.items()}
"""The feature each pattern letter shows."""

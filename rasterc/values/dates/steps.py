"""Calendar steps: a date moved by days, weeks, months and years, or to a stated day.

Pure functions of dates. All raise `OverflowError` when the result is outside years 1 to 9999.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Callable, Mapping
from datetime import MAXYEAR, MINYEAR, date, timedelta

from rasterc.source.times import MoveTo, Offset, ShortMonth, Target, Unit


def month_length(year: int, month: int) -> int:
    """Days of a month.

    >>> month_length(2028, 2)
    29
    """
    return monthrange(year, month)[1]


def add_months(day: date, months: int, rule: ShortMonth = ShortMonth.LAST_DAY) -> date:
    """``day`` moved by calendar months; ``rule`` says what stands for a day the month lacks.

    >>> str(add_months(date(2028, 1, 31), 1))
    '2028-02-29'
    >>> str(add_months(date(2028, 1, 31), 1, ShortMonth.NEXT_DAY))
    '2028-03-01'
    >>> str(add_months(date(2028, 1, 31), 1, ShortMonth.CARRY))
    '2028-03-02'
    """
    year, month0 = divmod(day.year * 12 + day.month - 1 + months, 12)
    if not MINYEAR <= year <= MAXYEAR:
        raise OverflowError("date outside years 1 to 9999")
    length = month_length(year, month0 + 1)
    excess = day.day - length
    if excess <= 0:
        return date(year, month0 + 1, day.day)
    last = date(year, month0 + 1, length)
    past_the_end = {ShortMonth.LAST_DAY: 0, ShortMonth.NEXT_DAY: 1, ShortMonth.CARRY: excess}
    return last + timedelta(days=past_the_end[rule])


def add_offset(day: date, offset: Offset, rule: ShortMonth) -> date:
    """``day`` moved by a calendar offset: days, weeks, months or years."""
    match offset.unit:
        case Unit.DAY:
            return day + timedelta(days=offset.amount)
        case Unit.WEEK:
            return day + timedelta(weeks=offset.amount)
        case Unit.MONTH:
            return add_months(day, offset.amount, rule)
        case Unit.YEAR:
            return add_months(day, 12 * offset.amount, rule)
    raise AssertionError(f"{offset.unit} is elapsed time, no calendar step")


def move_to(day: date, move: MoveTo) -> date:
    """``day`` moved to the start or end of its month or year, or to a weekday near it."""
    return _MOVES[move.target](day, move.weekday or 0)


def _days_until(day: date, weekday: int) -> int:
    return (weekday - day.weekday()) % 7


_MOVES: Mapping[Target, Callable[[date, int], date]] = {
    Target.MONTH_START: lambda day, _: day.replace(day=1),
    Target.MONTH_END: lambda day, _: day.replace(day=month_length(day.year, day.month)),
    Target.YEAR_START: lambda day, _: day.replace(month=1, day=1),
    Target.YEAR_END: lambda day, _: day.replace(month=12, day=31),
    Target.WEEKDAY: lambda day, to: day + timedelta(days=_days_until(day, to)),
    Target.NEXT_WEEKDAY: lambda day, to: day + timedelta(days=_days_until(day, to) or 7),
    Target.PREVIOUS_WEEKDAY: lambda day, to: day - timedelta(days=7 - _days_until(day, to)),
}

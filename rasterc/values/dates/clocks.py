"""Clocks: the wall time and production day a clock shows at a moment, and its steps.

A clock's day begins at ``day from``, not at midnight: before that hour the production day is the
day before. Date letters show the production day, time letters the wall time.

Steps are applied in the order written:

- minutes and hours are elapsed time: across a clock change the wall time moves by an hour more or
  less. The production day follows from the new wall time.
- days, weeks, months, years and ``to ...`` move the production day on the calendar and keep the
  wall time. If the clocks skip that wall time on the new day, it is moved forward by the gap
  (02:30 becomes 03:30); if it comes twice there, the moment stays the second one when it was the
  second before, else it is the first. The production day stays as moved in any case.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from msgspec import Struct

from rasterc.source.times import Clock, Offset, ShortMonth, Step
from rasterc.values.dates.steps import add_offset, move_to
from rasterc.values.dates.zones import settle


class ClockValue(Struct, frozen=True):
    """What a clock shows. ``wall`` has a zone unless the clock is a fixed date."""

    wall: datetime
    day: date


class ClockPlan(Struct, frozen=True):
    """A clock with its zone found.

    ``root`` is the clock it is derived from in the end (itself when read from the instant or
    fixed), and gives it ``zone``; a fixed date has none.
    """

    clock: Clock
    root: Clock
    zone: ZoneInfo | None

    @property
    def day_from_minutes(self) -> int:
        """Minutes after midnight at which its days begin."""
        return self.root.day_from_minutes


def production_day(wall: datetime, day_from_minutes: int) -> date:
    """The day a wall time belongs to when days begin ``day_from_minutes`` after midnight.

    >>> str(production_day(datetime(2028, 3, 1, 5, 59), 6 * 60))
    '2028-02-29'
    """
    before = wall.hour * 60 + wall.minute < day_from_minutes
    return wall.date() - timedelta(days=1) if before else wall.date()


def read_clock(moment: datetime, zone: ZoneInfo, day_from_minutes: int) -> ClockValue:
    """What a clock in ``zone`` shows at ``moment``, which has an offset.

    Raises:
        OverflowError: the wall time or its day is outside years 1 to 9999.
    """
    wall = moment.astimezone(zone)
    return ClockValue(wall, production_day(wall, day_from_minutes))


def fixed_clock(day: date) -> ClockValue:
    """A fixed date: midnight of that day, in no zone."""
    return ClockValue(datetime.combine(day, time()), day)


def apply_steps(value: ClockValue, plan: ClockPlan) -> ClockValue:
    """``value`` after the steps of the plan's clock, see the module's notes.

    Raises:
        OverflowError: a date on the way is outside years 1 to 9999.
    """
    for step in plan.clock.steps:
        if isinstance(step, Offset) and (each := step.unit.elapsed_minutes):
            elapsed = timedelta(minutes=step.amount * each)
            value = _let_pass(value, elapsed, plan.day_from_minutes)
        else:
            value = _move_day(value, _moved(value.day, step, plan.clock.short_month))
    return value


def _moved(day: date, step: Step, rule: ShortMonth) -> date:
    return add_offset(day, step, rule) if isinstance(step, Offset) else move_to(day, step)


def _let_pass(value: ClockValue, elapsed: timedelta, day_from_minutes: int) -> ClockValue:
    zone = value.wall.tzinfo
    if zone is None:
        wall = value.wall + elapsed
    else:
        wall = (value.wall.astimezone(UTC) + elapsed).astimezone(zone)
    return ClockValue(wall, production_day(wall, day_from_minutes))


def _move_day(value: ClockValue, day: date) -> ClockValue:
    wall = value.wall.replace(tzinfo=None) + (day - value.day)
    zone = value.wall.tzinfo
    if isinstance(zone, ZoneInfo):
        wall = settle(wall, zone, value.wall.fold)
    return ClockValue(wall, day)

"""Clocks and shifts, as they are declared."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from msgspec import Struct

from rasterc.diagnostics import Span


class ShortMonth(StrEnum):
    """What "one month after the 31st" means when the month has no such day."""

    LAST_DAY = "last-day"  # 31 Jan + 1 month = 28 or 29 Feb
    NEXT_DAY = "next-day"  # ... = 1 Mar
    CARRY = "carry"  # ... = 3 or 2 Mar: the days too many are carried over


class Unit(StrEnum):
    """Units of a clock's offsets. Minutes and hours are elapsed time, the others calendar steps."""

    MINUTE = "minute"
    HOUR = "hour"
    DAY = "day"
    WEEK = "week"
    MONTH = "month"
    YEAR = "year"

    @property
    def elapsed_minutes(self) -> int | None:
        """Minutes of the elapsed time it stands for; None for a calendar step."""
        return {Unit.MINUTE: 1, Unit.HOUR: 60}.get(self)


class Offset(Struct, frozen=True):
    """``+ 9 months``: ``amount`` is signed.

    ``column`` names the column of a product table that says how many, ``products.life``: the
    amount is then 1 or -1. Clocks of a plan have none (see `rasterc.values.rows`).
    """

    amount: int
    unit: Unit
    span: Span
    column: str | None = None


class Target(StrEnum):
    """Where ``to ...`` moves a date."""

    MONTH_START = "month start"
    MONTH_END = "month end"
    YEAR_START = "year start"
    YEAR_END = "year end"
    WEEKDAY = "weekday"  # the same day if it is that weekday, else the following one
    NEXT_WEEKDAY = "next weekday"  # strictly after
    PREVIOUS_WEEKDAY = "previous weekday"  # strictly before


class MoveTo(Struct, frozen=True):
    """``to month end``, ``to friday``. ``weekday`` counts from Monday = 0, None when not used."""

    target: Target
    weekday: int | None
    span: Span


Step = Offset | MoveTo


class Clock(Struct, frozen=True):
    """A clock. Exactly one of five kinds:

    - read from the instant: ``zone`` is set (``day_from_minutes`` is where its day starts);
    - derived from another clock: ``base`` names it;
    - the start of a shift: ``shift`` names it;
    - a fixed date: ``fixed`` is set;
    - a date that is typed: ``typed`` is set, and an input has its name.

    The second to the fourth may have ``steps``, applied in order.
    """

    name: str
    span: Span
    zone: str | None = None
    zone_span: Span | None = None
    day_from_minutes: int = 0
    base: str | None = None
    shift: str | None = None
    fixed: date | None = None
    typed: bool = False
    steps: tuple[Step, ...] = ()
    short_month: ShortMonth = ShortMonth.LAST_DAY
    short_month_span: Span | None = None  # where it is stated


class ShiftPart(Struct, frozen=True):
    """``"A" from 06:00 on mon to fri``: days of the shift's turn on which it begins, from 0."""

    label: str
    from_minutes: int
    days: tuple[int, ...]
    span: Span


MAX_TURN_DAYS = 400
"""Days of a roster: more than a year of them."""


class Turn(Struct, frozen=True):
    """The days after which a shift's parts come again: so many, a first of them on ``first``."""

    days: int
    first: date

    def day(self, day: date) -> int:
        """Which day of its turn a day is, from 0.

        >>> WEEK.day(date(2027, 1, 6))
        2
        """
        return (day - self.first).days % self.days


WEEK = Turn(7, date(1970, 1, 5))
"""The turn of shifts that go by the week: from Monday."""


class Shift(Struct, frozen=True):
    """Named parts of the day of a clock; each lasts until the next one begins.

    ``roster`` is its turn when its days are numbered; without it they are those of the week.
    """

    name: str
    clock: str
    parts: tuple[ShiftPart, ...]
    span: Span
    roster: Turn | None = None

    @property
    def turn(self) -> Turn:
        """The days after which its parts come again."""
        return self.roster or WEEK

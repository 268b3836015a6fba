"""How long a printed date says that a product keeps."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from rasterc.checks.printed.dates import MONTHS, Mark, marks
from rasterc.checks.printed.lead_words import KEEPING
from rasterc.checks.subject import Subject, once
from rasterc.source.times import Clock, MoveTo, Offset
from rasterc.values.dates.steps import add_months, add_offset, month_length, move_to


@dataclass(frozen=True, slots=True)
class Life:
    """The dates behind a date of minimum durability, at one instant.

    Attributes:
        made: the production day it counts from.
        nominal: that day moved by the clock's offsets alone, the moves `to ...` left out.
        stated: the day the clock shows.
    """

    made: date
    nominal: date
    stated: date

    @property
    def days(self) -> int:
        """Days of the nominal life."""
        return (self.nominal - self.made).days

    def lasting(self, days: int | None) -> Life:
        """The same production day with a life of so many days, when that is known."""
        return self if days is None else replace(self, nominal=self.made + timedelta(days=days))

    def keeps_beyond(self, months: int) -> bool:
        """Whether the nominal life is longer than so many calendar months, to the day."""
        return self.nominal > add_months(self.made, months)


def chain_of(subject: Subject, name: str) -> tuple[Clock, ...]:
    """A clock and those it is derived from, without the shift's own; the first one first."""
    clocks = [subject.message.clocks[name]]
    while (base := clocks[0].base) is not None:
        clocks.insert(0, subject.message.clocks[base])
    return tuple(clocks)


def is_fixed(subject: Subject, name: str) -> bool:
    """Whether a clock is a fixed date, or counted from one."""
    return chain_of(subject, name)[0].fixed is not None


def life_of(subject: Subject, name: str) -> Life | None:
    """The life a clock stands for; None when it is not later than the day of production."""
    life = dates_of(subject, name)
    return life if life and life.nominal > life.made else None


def dates_of(subject: Subject, name: str) -> Life | None:
    """The dates behind a clock, also when they are not later; None for a fixed date."""
    clocks = chain_of(subject, name)
    if clocks[0].fixed is not None:
        return None
    moment = subject.moment
    first = clocks[0]
    made = moment.shift(first.shift).day if first.shift else moment.clock(first.name).day
    nominal = made
    for clock in clocks:
        nominal = _offsets_of(clock, nominal)
    stated = moment.clock(name).day
    return Life(made, nominal, stated)


@once
def durable_marks(subject: Subject) -> tuple[tuple[Mark, Life], ...]:
    """The marks that say how long the product keeps, each with its life."""
    found = ((mark, life_of(subject, mark.clock)) for mark in marks(subject) if is_date(mark))
    return tuple((mark, life) for mark, life in found if life is not None)


@once
def labelled_marks(subject: Subject) -> tuple[Mark, ...]:
    """The dates that words introduce as the end of the product's life, whatever they show."""
    return tuple(mark for mark in marks(subject) if is_date(mark) and says_how_long(mark))


@once
def fixed_days(subject: Subject) -> tuple[tuple[Mark, date], ...]:
    """Every printed fixed date, with the last day it is read as."""
    return tuple(
        (mark, last_day_read(mark, subject.moment.clock(mark.clock).day))
        for mark in marks(subject)
        if is_fixed(subject, mark.clock) and is_date(mark)
    )


def says_how_long(mark: Mark) -> bool:
    """Whether words introduce a mark as a use-by, best-before or expiry date."""
    return not mark.kinds.isdisjoint(KEEPING)


def shelf_life_days(subject: Subject) -> int | None:
    """Days the product keeps: the profile's, else the longest life printed, else unknown."""
    if subject.profile and subject.profile.product.shelf_life_days:
        return subject.profile.product.shelf_life_days
    return max((life.days for _, life in durable_marks(subject)), default=None)


def stated_day(chain: Iterable[Clock], made: date) -> date:
    """The day that a chain of clocks shows for a production day; hours and minutes left out."""
    for clock in chain:
        for step in clock.steps:
            if isinstance(step, MoveTo):
                made = move_to(made, step)
            elif step.unit.elapsed_minutes is None:
                made = add_offset(made, step, clock.short_month)
    return made


def last_day_read(mark: Mark, stated: date) -> date:
    """The day a reader takes a date to mean: the end of the month or year when no day is told."""
    if mark.has("dDw"):
        return stated
    if mark.has(MONTHS):
        return stated.replace(day=month_length(stated.year, stated.month))
    return stated.replace(month=12, day=31)


def is_date(mark: Mark) -> bool:
    """Whether a mark shows a part of a date that may tell how long the product keeps."""
    return mark.has("yYMLdDw")


def _offsets_of(clock: Clock, day: date) -> date:
    for step in clock.steps:
        if isinstance(step, Offset) and step.unit.elapsed_minutes is None:
            day = add_offset(day, step, clock.short_month)
    return day

"""How long a printed date says that a product keeps."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from rasterc.checks.marks import Mark, marks
from rasterc.checks.subject import Subject
from rasterc.source.message import Clock, MoveTo, Offset
from rasterc.values.steps import add_months, add_offset, move_to


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


def life_of(subject: Subject, name: str) -> Life | None:
    """The life a clock stands for; None when it is not later than the day of production."""
    clocks = chain_of(subject, name)
    if clocks[0].fixed is not None:
        return None
    moment = subject.plan.at(subject.resolved.instant)
    first = clocks[0]
    made = moment.shift(first.shift).day if first.shift else moment.clock(first.name).day
    nominal = made
    for clock in clocks:
        nominal = _offsets_of(clock, nominal)
    stated = moment.clock(name).day
    return Life(made, nominal, stated) if nominal > made else None


def durable_marks(subject: Subject) -> tuple[tuple[Mark, Life], ...]:
    """The marks that say how long the product keeps, each with its life."""
    found = ((mark, life_of(subject, mark.clock)) for mark in marks(subject) if _is_date(mark))
    return tuple((mark, life) for mark, life in found if life is not None)


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


def _is_date(mark: Mark) -> bool:
    return mark.has("yYMLdDw")


def _offsets_of(clock: Clock, day: date) -> date:
    for step in clock.steps:
        if isinstance(step, Offset) and step.unit.elapsed_minutes is None:
            day = add_offset(day, step, clock.short_month)
    return day

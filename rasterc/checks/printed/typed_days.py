"""Dates that are typed, as their limits have them, against the day of printing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rasterc.checks.printed.dates import Mark
from rasterc.checks.printed.durability import chain_of, dates_of, is_date, says_how_long, stated_day
from rasterc.checks.subject import Subject
from rasterc.source.declarations import DateLimit, Input
from rasterc.source.times import Clock


@dataclass(frozen=True, slots=True)
class TypedDay:
    """A date that is typed, at one instant.

    Attributes:
        declared: its input.
        first: the first day that its limits allow.
        last: the last one.
        printed: the days of the clocks that its limits are counted from, else of those that are
            printed: more than one where they are in several zones, or begin their days at
            different hours; none when the time is not known.
    """

    declared: Input
    first: date
    last: date
    printed: tuple[date, ...]

    @property
    def limits(self) -> tuple[DateLimit, ...]:
        """Its limits."""
        return self.declared.date.limits if self.declared.date else ()

    @property
    def is_open(self) -> bool:
        """Whether no limit keeps it from lying years ahead."""
        return all(limit.is_first for limit in self.limits)

    def is_limited_by(self, name: str) -> bool:
        """Whether one of its limits is counted from a clock."""
        return any(limit.base == name for limit in self.limits)


def typed_day(subject: Subject, name: str) -> TypedDay | None:
    """The typed date that a clock is, or is counted from; None when it is another clock."""
    root = chain_of(subject, name)[0]
    if not root.typed:
        return None
    declared = subject.message.inputs[root.name]
    first, last = subject.moment.days(root.name)
    return TypedDay(declared, first, last, _printed(subject, declared))


def keeps_from(subject: Subject, mark: Mark) -> bool:
    """Whether a mark is a date to which the product keeps, counted forward from a typed one."""
    life = dates_of(subject, mark.clock)
    forward = life is not None and life.nominal > life.made
    return forward and is_date(mark) and (says_how_long(mark) or not mark.kinds)


def day_from(subject: Subject, name: str, typed: date) -> date:
    """The day that a clock shows when so typed."""
    return stated_day(chain_of(subject, name), typed)


def printing_clock(subject: Subject, typed: TypedDay) -> str:
    """The name of the clock that tells the day of printing; "" when there is none."""
    roots = _limiting(subject, typed.declared) or subject.plan.clocks_read()
    return next((clock.name for clock in roots), "")


def _printed(subject: Subject, declared: Input) -> tuple[date, ...]:
    roots = _limiting(subject, declared) or subject.plan.clocks_read()
    return tuple(_day(subject, clock) for clock in roots)


def _day(subject: Subject, root: Clock) -> date:
    moment = subject.moment
    return moment.shift(root.shift).day if root.shift else moment.clock(root.name).day


def _limiting(subject: Subject, declared: Input) -> tuple[Clock, ...]:
    """The clocks, read from the instant, that its limits are counted from."""
    limits = declared.date.limits if declared.date else ()
    roots = [chain_of(subject, limit.base)[0] for limit in limits if limit.base]
    return tuple({root.name: root for root in roots if root.fixed is None}.values())

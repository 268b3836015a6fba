"""Months or years are added to a day that the month reached may not have."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from msgspec import structs

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, marks
from rasterc.checks.printed.durability import (
    chain_of,
    life_of,
    stated_day,
)
from rasterc.checks.rules.lives.examples import BEST
from rasterc.diagnostics import Severity
from rasterc.source.times import Clock, MoveTo, ShortMonth

_FOUR_YEARS = 1461  # days: every day of every month, the 29th of February among them


class ShortMonthUnstated(Rule):
    """Months or years are added to a day that the month reached may not have."""

    id = "short-month"
    title = "The month reached may not have that day, and the message does not say what holds then"
    severity = Severity.NOTE
    rationale = (
        "The 31st of January plus one month is the last of February to some, the 1st or the 3rd of "
        "March to others; the 29th of February plus one year is the 28th or the 1st of March. "
        "rasterc takes the last day of the month. Stating the rule shows that it was decided. A "
        "clock that also moves `to ...` is left alone."
    )
    source = "common practice, no source"
    trips = Example(BEST.format(life="1 month", text="28 FEB 2027"))
    passes = Example(BEST.format(life="1 month, short month last-day", text="28 FEB 2027"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note for every printed clock whose day depends on a rule that is not stated."""
        printed = {mark.clock: mark for mark in marks(subject) if mark.has("dD")}
        reported: set[str] = set()
        for mark in printed.values():
            chain = chain_of(subject, mark.clock)
            if any(isinstance(step, MoveTo) for clock in chain for step in clock.steps):
                continue
            for clock in chain:
                if clock.name not in reported and clock.short_month_span is None:
                    reported.add(clock.name)
                    yield from self._clock(subject, mark, clock)

    def _clock(self, subject: Subject, mark: Mark, clock: Clock) -> Iterator[Finding]:
        life = life_of(subject, mark.clock)
        clamp = _first_clamp(chain_of(subject, mark.clock), clock, life.made) if life else None
        if clamp is None:
            return
        yield self.finding(
            subject,
            f"for {clamp.made} as the production day {mark.clock} is {clamp.last_day}: the month "
            f"has no day {clamp.made.day}, and which day holds then is not stated",
            clock.span,
            f"add `, short month last-day` to keep {clamp.last_day}, `, short month next-day` for "
            f"{clamp.next_day}, or count in days",
        )


@dataclass(frozen=True, slots=True)
class _Clamp:
    made: date
    last_day: date
    next_day: date


def _first_clamp(chain: tuple[Clock, ...], clock: Clock, start: date) -> _Clamp | None:
    """The first production day for which the short-month rule of ``clock`` matters."""
    other = structs.replace(clock, short_month=ShortMonth.NEXT_DAY)
    changed = tuple(other if link is clock else link for link in chain)
    for days in range(_FOUR_YEARS):
        made = start + timedelta(days=days)
        last_day, next_day = stated_day(chain, made), stated_day(changed, made)
        if last_day != next_day:
            return _Clamp(made, last_day, next_day)
    return None

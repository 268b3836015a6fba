"""Is the date of minimum durability the right day, and is the code told from an older one?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from msgspec import structs

from rasterc.checks.model import LIVES, Example, Finding, Rule, Subject, example_profile
from rasterc.checks.printed.dates import WEEKDAYS, Mark, marks
from rasterc.checks.printed.durability import (
    chain_of,
    durable_marks,
    is_fixed,
    last_day_read,
    life_of,
    shelf_life_days,
    stated_day,
)
from rasterc.checks.printed.tokens import Token
from rasterc.diagnostics import Severity
from rasterc.source.declarations import Clock, MoveTo, Restart, ShortMonth
from rasterc.values.fields.kinds import CounterText, InputText
from rasterc.values.fields.options import LookUp

_BEST = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + {life}
  block {{ line: "BEST BEFORE " best(dd MMM yyyy, upper) }}
  expect at 2027-01-31 14:05 {{ "BEST BEFORE {text}" }}
}}
"""
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
    trips = Example(_BEST.format(life="1 month", text="28 FEB 2027"))
    passes = Example(_BEST.format(life="1 month, short month last-day", text="28 FEB 2027"))

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


class BeyondShelfLife(Rule):
    """The date printed against the shelf life of the profile."""

    id = "beyond-shelf-life"
    title = "The date promises more days than the product keeps"
    needs_profile = True
    rationale = (
        "The date must not lie after the day of production plus the shelf life. `to month end` "
        "adds up to thirty days, and a date without its day is read as the last day of the month. "
        "Checked when the profile states shelf_life_days."
    )
    source = "the profile's own shelf_life_days"
    trips = Example(
        _BEST.format(life="90 days to month end", text="31 MAY 2027"),
        example_profile(product="shelf_life_days = 90"),
    )
    passes = Example(
        _BEST.format(life="90 days", text="01 MAY 2027"),
        example_profile(product="shelf_life_days = 90"),
    )

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (LIVES,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date that is too late."""
        days = subject.profile.product.shelf_life_days if subject.profile else None
        for mark, life in durable_marks(subject):
            read = last_day_read(mark, life.stated)
            over = (read - life.made).days - days if days else 0
            if days and over > 0:
                yield self.finding(
                    subject,
                    f"{mark.text} lasts to {read}, {days + over} days after production on "
                    f"{life.made}; the product keeps {days}",
                    mark.span,
                    _earlier(mark, over, days),
                    measured=days + over,
                    limit=days,
                    unit="days",
                )


def _earlier(mark: Mark, over: int, days: int) -> str:
    if mark.has("dDw"):
        return f"count {over} days less: `+ {days} days`, without `to month end`"
    return f"print the day and count `+ {days} days`, or end with the month before"


class RepeatsWithinShelfLife(Rule):
    """What the date letters leave out of the year against the shelf life."""

    id = "repeats-within-shelf-life"
    title = "The same code comes again while the product is still good"
    severity = Severity.WARNING
    needs_profile = True
    samples = True
    rationale = (
        "A code without the year comes again after a year, one with the last digit of the year "
        "after ten. If the product keeps that long, two lots on the shelf carry the same code and "
        "cannot be told apart in a recall. Told from the date letters alone; a printed input or a "
        "counter that never restarts makes codes different."
    )
    source = "common practice, no source"
    trips = Example(
        'message example { raster 7 font upright-7 clock packed in "Europe/Dublin" '
        'block { line: "L" packed(dd MMM, upper) } expect at 2027-11-25 14:05 { "L25 NOV" } }',
        example_profile(product="shelf_life_days = 400"),
    )
    passes = Example(
        trips.message.replace("MMM,", "MMM yyyy,").replace("NOV", "NOV 2027"), trips.profile
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield one finding when the date letters come again within the shelf life."""
        keeps = shelf_life_days(subject)
        printed = [mark for mark in marks(subject) if not is_fixed(subject, mark.clock)]
        if keeps is None or not printed or _is_numbered(subject):
            return
        after = max(map(_days_until_again, printed))
        if after <= keeps:
            yield self.finding(
                subject,
                f"the code can come again after {after} days; the product keeps {keeps} days",
                printed[0].span,
                "print more of the year (yy or yyyy), a lot number, or a counter that never "
                "restarts",
                measured=after,
                limit=keeps,
                unit="days",
            )


def _is_numbered(subject: Subject) -> bool:
    """Whether an input, or a counter that never restarts, makes codes of two years different."""
    sources = [field.source for field in subject.plan.fields]
    return any(
        isinstance(source, InputText)
        or (isinstance(source, CounterText) and source.counter.restart is Restart.NEVER)
        for source in sources
    )


def _days_until_again(mark: Mark) -> int:
    """Days after which a mark's letters print the same again, at the earliest."""
    year = mark.part("yY")
    if year is not None:
        return 365 * _years(year)
    if mark.has("MLDw"):
        return 365
    if mark.has("d"):
        return 28
    return 7 if mark.has(WEEKDAYS) else 1


def _years(year: Token) -> int:
    """After how many years a year is printed the same again."""
    tables = [o.table for o in (year.field.options if year.field else ()) if isinstance(o, LookUp)]
    if tables:
        return len(set(tables[-1].rows.values()))
    return int(10 ** len(year.text)) if len(year.text) < 4 else 10_000

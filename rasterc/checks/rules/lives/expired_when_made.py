"""A use-by, best-before or expiry date that is not after the day of production."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime

from rasterc.checks.model import LIVES, Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import HOURS, Mark, marks, words_vary
from rasterc.checks.printed.durability import (
    chain_of,
    dates_of,
    is_date,
    is_fixed,
    labelled_marks,
    last_day_read,
    life_of,
)
from rasterc.checks.printed.typed_days import day_from, typed_day
from rasterc.source.times import Clock, Offset
from rasterc.values import Moment

_USE_BY = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock ends = packed {step}
  block {{ line: "USE BY " ends(dd MMM yyyy, upper) }}
  expect at 2027-11-25 14:05 {{ "USE BY {text}" }}
}}
"""


class ExpiredWhenMade(Rule):
    """A use-by, best-before or expiry date that is not after the day of production."""

    id = "expired-when-made"
    title = "The date to which the product keeps is not after the day it is made"
    rationale = (
        "A use-by date on the day of production or before it comes of a minus for a plus, a `to` "
        "that moves back, or two clocks in each other's place: every product is unsaleable, or "
        "its date is taken for a misprint. A date with its hour is held against the hour; one that "
        "is typed against the day of printing, with the last day that its limits allow. Food "
        "that is eaten on the day it is made is the exception: silence the rule and say so. Dates "
        "are known by the words before them, in several languages."
    )
    source = "common practice, no source"
    trips = Example(_USE_BY.format(step="- 30 days", text="26 OCT 2027"))
    passes = Example(_USE_BY.format(step="+ 30 days", text="25 DEC 2027"))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known where dates lie nearest to production; a date with its hour is looked at."""
        timed = any(mark.has(HOURS) for mark in labelled_marks(subject))
        return None if timed or words_vary(subject) else (LIVES,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date so introduced that has come when the product is made."""
        labelled = labelled_marks(subject)
        for mark in labelled:
            made = _made(subject, mark)
            moment = subject.moment
            read = last_day_read(mark, moment.clock(mark.clock).day)
            if made is None or read > made or _lasts_hours(subject, mark, moment):
                continue
            if is_fixed(subject, mark.clock) and read < made:
                continue  # `expired-date`
            days = (made - read).days
            ago = "the day it is made" if not days else f"{_count(days)} before it is made"
            yield self.finding(
                subject,
                f"{mark.text} is introduced as the date to which the product keeps, and is {ago}",
                mark.span,
                _remedy(subject, mark, labelled),
                measured=-days,
                limit=1,
                unit="days",
            )


def _made(subject: Subject, mark: Mark) -> date | None:
    """The production day a mark is held against; None when it is not known."""
    life = dates_of(subject, mark.clock)
    typed = typed_day(subject, mark.clock)
    if typed is not None and life is not None and life.nominal <= life.made:
        latest = day_from(subject, mark.clock, typed.last)
        return _before(typed.printed, last_day_read(mark, latest))
    if life is not None:
        return life.made
    when = subject.resolved.instant.when
    return when.date() if when else None


def _before(printed: tuple[date, ...], latest: date) -> date | None:
    """The day of printing, when a typed date is never after it, whatever is typed."""
    return min(printed) if printed and latest <= min(printed) else None


def _lasts_hours(subject: Subject, mark: Mark, moment: Moment) -> bool:
    """Whether a date with its hour is later than the moment it is printed."""
    ends, when = moment.clock(mark.clock).wall, subject.when
    timed = any(part.letter in HOURS for part in mark.parts)
    if not timed or when is None or ends.tzinfo is None:
        return False
    return _in_utc(ends) > _in_utc(when)


def _in_utc(moment: datetime) -> datetime:
    return moment.astimezone(UTC)


def _remedy(subject: Subject, mark: Mark, labelled: tuple[Mark, ...]) -> str:
    """What puts it right: a plus, the other date when that one is later, else more days."""
    moment = subject.moment
    own = moment.clock(mark.clock).day
    chain = chain_of(subject, mark.clock)
    for other in marks(subject):
        apart = other not in labelled and _may_change(subject, chain, other)
        if apart and is_date(other) and moment.clock(other.clock).day > own:
            return (
                f"let {mark.clock} and {other.clock} change places: {other.clock} is the later "
                f'one, and stands after "{other.label}"'
            )
    return (
        _forward(chain)
        or _limited(subject, mark)
        or f"count {mark.clock} forward from the day of production, clock {mark.clock} = packed + "
        "30 days say, or silence expired-when-made where the food is for the same day"
    )


def _may_change(subject: Subject, chain: tuple[Clock, ...], other: Mark) -> bool:
    """Whether another date may be the one that was meant: it is counted forward, is not what this
    one is counted from, and depends on it when this one is typed."""
    theirs = chain_of(subject, other.clock)
    ahead = is_fixed(subject, other.clock) or life_of(subject, other.clock) is not None
    return ahead and theirs[-1] not in chain and (not chain[0].typed or chain[0] in theirs)


def _forward(chain: tuple[Clock, ...]) -> str:
    """How one step back, the only one there is, is written forward; "" where it is otherwise."""
    steps = [(clock, step) for clock in chain for step in clock.steps]
    if len(steps) != 1:
        return ""
    [(clock, step)] = steps
    start = clock.base or (f"start of {clock.shift}" if clock.shift else "")
    if not start or not isinstance(step, Offset) or step.amount >= 0:
        return ""
    written = step.span.text.partition("-")[2].strip()
    return f"write clock {clock.name} = {start} + {written}: {step.span.text} counts back"


def _limited(subject: Subject, mark: Mark) -> str:
    typed = typed_day(subject, mark.clock)
    if typed is None:
        return ""
    return f"look at the limits of input {typed.declared.name}: they keep it from lying ahead"


def _count(days: int) -> str:
    return "1 day" if days == 1 else f"{days} days"

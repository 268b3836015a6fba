"""A use-by, best-before or expiry date that is not after the day of production."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime

from rasterc.checks.model import LIVES, Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import HOURS, Mark, marks, words_vary
from rasterc.checks.printed.durability import (
    dates_of,
    is_date,
    is_fixed,
    labelled_marks,
    last_day_read,
)
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
        "its date is taken for a misprint. A date with its hour is held against the hour. Food "
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
    if life is not None:
        return life.made
    when = subject.resolved.instant.when
    return when.date() if when else None


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
    """What puts it right: the other date when that one is later, else a longer way ahead."""
    moment = subject.moment
    own = moment.clock(mark.clock).day
    for other in marks(subject):
        if other not in labelled and is_date(other) and moment.clock(other.clock).day > own:
            return (
                f"let {mark.clock} and {other.clock} change places: {other.clock} is the later "
                f'one, and stands after "{other.label}"'
            )
    return (
        f"count {mark.clock} forward from the day of production, clock {mark.clock} = packed + 30 "
        "days say, or silence expired-when-made where the food is for the same day"
    )


def _count(days: int) -> str:
    return "1 day" if days == 1 else f"{days} days"

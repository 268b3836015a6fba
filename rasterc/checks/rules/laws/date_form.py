"""Which of day, month and year are printed, against how long the food keeps."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import GOOD_FOOD, food_example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark
from rasterc.checks.printed.durability import (
    Life,
    chain_of,
    durable_marks,
)
from rasterc.checks.rules.laws.sources import REGULATION
from rasterc.profile.model import RuleSet
from rasterc.source.times import Offset, Unit
from rasterc.values.dates.steps import add_months

_BOUNDARIES = (range(89, 93), range(546, 551))
"""Days that are 3 and 18 months, or not, by the day they begin on."""


class DateForm(Rule):
    """Which of day, month and year are printed, against how long the food keeps."""

    id = "date-form"
    title = "The date says less than the shelf life asks for"
    rule_set = RuleSet.EU_FOOD
    rationale = (
        "The date is day, month and year. Day and month suffice for food that keeps up "
        "to 3 months; month and year for more than 3 and up to 18 months; the year alone for "
        "more than 18 months. The life is the profile's shelf_life_days, else what the clock "
        "adds, moves such as `to month end` left out. Of 89 to 92 and of 546 to 550 days, which "
        "are 3 or 18 months on some days only, nothing is said; exactly 3 months differ "
        f"between the languages of the text, and the English is taken. {NO_ADVICE}"
    )
    source = f"{REGULATION}, Annex X, point 1(c)"
    trips = food_example("2 months", "BEST BEFORE END", "MMM yyyy, upper", "JAN 2028")
    passes = GOOD_FOOD

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date that lacks a part."""
        stated = subject.profile.product.shelf_life_days if subject.profile else None
        for mark, life in durable_marks(subject):
            in_days = stated is not None or _counts_days(subject, mark)
            missing = _missing(mark, life.lasting(stated), in_days)
            if missing:
                days = life.lasting(stated).days
                form = {"day": "dd MMM yyyy", "month": "MMM yyyy", "year": "dd MMM yyyy"}[missing]
                yield self.finding(
                    subject,
                    f'"{mark.text}" lacks the {missing}: the food keeps {days} days, '
                    f"{_months(life.lasting(stated))}",
                    mark.span,
                    f"print the {missing} too: {mark.clock}({form})",
                    measured=days,
                    unit="days",
                )


def _counts_days(subject: Subject, mark: Mark) -> bool:
    """Whether a date is counted in days and weeks alone."""
    steps = [step for clock in chain_of(subject, mark.clock) for step in clock.steps]
    return not any(isinstance(s, Offset) and s.unit in (Unit.MONTH, Unit.YEAR) for s in steps)


def _missing(mark: Mark, life: Life, in_days: bool) -> str:
    """The part of the date that the life asks for and the mark lacks, or "".

    Of so many days that they are as many months on some days only, "".
    """
    if in_days and any(life.days in days for days in _BOUNDARIES):
        return ""
    if life.keeps_beyond(3) and not mark.has("yY"):
        return "year"
    if not life.keeps_beyond(18) and not mark.has("MLDw"):
        return "month"
    if not life.keeps_beyond(3) and not mark.has("dD"):
        return "day"
    return ""


def _months(life: Life) -> str:
    for months in (3, 18):
        if not life.keeps_beyond(months):
            return f"no more than {months} months ({add_months(life.made, months)})"
    return "more than 18 months"

"""Is the life of a plausible length?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark
from rasterc.checks.printed.durability import Life, durable_marks
from rasterc.checks.printed.lead_words import KEEPING, Kind
from rasterc.diagnostics import Severity
from rasterc.profile.model import RuleSet

_USE_BY_DAYS, _KEEPING_DAYS = 180, 15 * 366


_USE_BY = 'clock packed in "UTC"\nclock ends = packed + 9 {}\n'


_USE_BY += 'block {{ line: "USE BY " ends(dd MMM yyyy, upper) }}'


class LifeImplausible(Rule):
    """A life that its words do not go with: years beside a use-by."""

    id = "life-implausible"
    title = "The product would keep far longer than its words allow"
    severity = Severity.WARNING
    samples = True
    rationale = (
        "`use by` stands on food that soon becomes unsafe, for which days or weeks are usual: more "
        "than half a year beside it comes of the wrong unit, 9 years for 9 days, or of the wrong "
        "words. Beyond fifteen years no date of minimum durability is printed. The profile's "
        "shelf_life_days, where it is stated, settles what is meant."
    )
    source = "common practice, no source"
    trips = example(_USE_BY.format("years"))
    passes = example(_USE_BY.format("days"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark, life in durable_marks(subject):
            limit = _limit(subject, mark)
            if limit is not None and life.days > limit and not _is_stated(subject, life):
                yield self.finding(
                    subject,
                    f"{mark.text} after {mark.label or 'these words'} is {life.days} days after "
                    f"production; no more than {limit} are plausible",
                    mark.span,
                    "look at the unit of the clock's step (days, weeks, months, years), or at the "
                    "words; or state shelf_life_days in the profile",
                    measured=life.days,
                    limit=limit,
                    unit="days",
                )


def _limit(subject: Subject, mark: Mark) -> int | None:
    rules = subject.profile.rules if subject.profile else ()
    trades = {RuleSet.EU_MEDICINE, RuleSet.US_DEVICE}.intersection(rules)
    if Kind.USE_BY in mark.kinds and not trades:
        return _USE_BY_DAYS
    return None if mark.kinds.isdisjoint(KEEPING) else _KEEPING_DAYS


def _is_stated(subject: Subject, life: Life) -> bool:
    stated = subject.profile.product.shelf_life_days if subject.profile else None
    return stated is not None and life.days <= stated

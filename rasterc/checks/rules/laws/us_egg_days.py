"""Do eggs keep as long as their date says in the United States? (rule set us-food)"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rasterc.checks.examples import LONG, example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.durability import durable_marks
from rasterc.checks.printed.lead_words import KEEPING, Kind
from rasterc.checks.printed.tokens import printed_lines
from rasterc.profile.model import RuleSet

_EGGS = re.compile(r"\bEGGS?\b", re.IGNORECASE)


_EXPIRY_DAYS, _BEST_DAYS = 30, 45


_LINE = 'clock packed in "America/Chicago"\nclock best = packed + {} days\n'


_LINE += 'block {{ line: "EGGS BEST BY " best(MMM dd yyyy, upper) " " packed(yyDDD) }}'


class UsEggDays(Rule):
    """Days from packing to the date on eggs."""

    id = "us-egg-days"
    title = "The date on eggs lies too many days after packing"
    rule_set = RuleSet.US_FOOD
    samples = True
    rationale = (
        "On graded eggs an expiry or sell-by date lies at most 30 days after the day of packing, a "
        "best-by or use-by date at most 45. Looked at where a line of the message says EGGS. "
        f"{NO_ADVICE}"
    )
    source = "the grading service of the USDA: 30 and 45 days; that it is 7 CFR 56: from memory"
    trips = example(_LINE.format(60), rules=RuleSet.US_FOOD, profile=LONG)
    passes = example(_LINE.format(45), rules=RuleSet.US_FOOD, profile=LONG)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date that is too late."""
        if not any(_EGGS.search(line.words) for line in printed_lines(subject)):
            return
        for mark, life in durable_marks(subject):
            if mark.kinds.isdisjoint(KEEPING):
                continue
            words = mark.label
            strict = Kind.SELL_BY in mark.kinds or "EXP" in words
            limit = _EXPIRY_DAYS if strict else _BEST_DAYS
            if life.days > limit:
                yield self.finding(
                    subject,
                    f'"{words} {mark.text}" is {life.days} days after packing; eggs have {limit}',
                    mark.span,
                    f"count {limit} days: clock {mark.clock} = packed + {limit} days",
                    measured=life.days,
                    limit=limit,
                    unit="days",
                )

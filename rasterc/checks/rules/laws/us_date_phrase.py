"""Is a date on meat told whole in the United States? (rule set us-food)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS
from rasterc.checks.printed.durability import durable_marks
from rasterc.profile.model import RuleSet

_LINE = 'clock packed in "America/Chicago"\nclock best = packed + 20 days\n'


_LINE += "block {{ line: {}best(MMM dd yyyy, upper) }}"


class UsDatePhrase(Rule):
    """A date without its phrase, day or month."""

    id = "us-date-phrase"
    title = "A date on meat or poultry lacks its phrase, its month or its day"
    rule_set = RuleSet.US_FOOD
    reads_words = True
    rationale = (
        "A calendar date on meat, poultry and egg products has the month and the day, the year too "
        "where the product is shelf-stable or frozen, and beside it a phrase that explains it: "
        f"`best if used by`, say. {NO_ADVICE}"
    )
    source = "the FSIS on dates of food products; that it is 9 CFR 317.8 and 381.129: from memory"
    trips = example(_LINE.format(""), rules=RuleSet.US_FOOD)
    passes = example(_LINE.format('"USE BY " '), rules=RuleSet.US_FOOD)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark, _ in durable_marks(subject):
            if not any(char.isalpha() for char in mark.label):
                said, help = "has no phrase beside it", 'write "USE BY " or "BEST IF USED BY "'
            elif not (mark.has("d") and mark.has(MONTHS)):
                said = "lacks the day or the month"
                help = f"print {mark.clock}(MMM dd yyyy)"
            else:
                continue
            yield self.finding(subject, f'"{mark.text}" {said}', mark.span, help)

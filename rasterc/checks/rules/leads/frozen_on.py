"""Is the day of freezing told whole? (rule set eu-food)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, marks
from rasterc.checks.printed.durability import is_date
from rasterc.checks.printed.lead_words import Kind
from rasterc.profile.model import RuleSet

_ON = 'clock frozen in "Europe/Dublin"\n'


_ON += 'block {{ line: "FROZEN ON " frozen({}, upper) " L" frozen(yyDDD) }}'


class FrozenOn(Rule):
    """A date of freezing without its day, month or year."""

    id = "frozen-on"
    title = "The date of freezing lacks its day, month or year"
    rule_set = RuleSet.EU_FOOD
    reads_words = True
    rationale = (
        "Frozen meat, meat preparations and unprocessed fishery products carry the date of "
        "freezing, or of first freezing: day, month and year, in that order and uncoded, after "
        f"`Frozen on`. {NO_ADVICE}"
    )
    source = "Regulation (EU) No 1169/2011, Annex X, point 3, as stated by a secondary text"
    trips = example(_ON.format("dd MMM"), rules=RuleSet.EU_FOOD)
    passes = example(_ON.format("dd MMM yyyy"), rules=RuleSet.EU_FOOD)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark in marks(subject):
            if Kind.FROZEN not in mark.kinds or not is_date(mark):
                continue
            lacks = [
                what
                for what, letters in (("day", "d"), ("month", MONTHS), ("year", "yY"))
                if not mark.has(letters)
            ]
            if lacks:
                yield self.finding(
                    subject,
                    f'"{mark.label} {mark.text}" lacks the {" and the ".join(lacks)}',
                    mark.span,
                    f"print day, month and year: {mark.clock}(dd MMM yyyy)",
                )

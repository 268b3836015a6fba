"""Do the dates of a device have their form in the United States? (rule set us-device)"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import is_date
from rasterc.checks.printed.lead_words import KEEPING, Kind
from rasterc.profile.model import RuleSet

_DATES = {Kind.PACKED, *KEEPING}


_EXP = 'clock made in "America/Chicago"\nclock ends = made + 24 months to month end\n'


_EXP += 'block {{ line: "EXP " ends({}) }}'


class UsDeviceDate(Rule):
    """Dates on a label of a medical device."""

    id = "us-device-date"
    title = "A date on a device's label is not YYYY-MM-DD"
    rule_set = RuleSet.US_DEVICE
    reads_words = True
    rationale = (
        "A date of expiry or manufacture that is meant for people has the form 2014-01-02: year, "
        "month and day in figures, parted by hyphens. The dates within a carrier of the unique "
        f"device identifier, behind (11) and (17), have their own. {NO_ADVICE}"
    )
    source = "21 CFR 801.18(a)"
    trips = example(_EXP.format("MM/yyyy"), rules=RuleSet.US_DEVICE)
    passes = example(_EXP.format("yyyy-MM-dd"), rules=RuleSet.US_DEVICE)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date with its words, or ahead, of another form."""
        for mark in marks(subject):
            element = mark.since.rstrip().endswith(")")
            if not is_date(mark) or element or mark.kinds.isdisjoint(_DATES):
                continue
            if mark.pattern != "yyyy-MM-dd":
                yield self.finding(
                    subject,
                    f'"{mark.text}" ({mark.pattern}) is a date of a device',
                    mark.span,
                    f"print {mark.clock}(yyyy-MM-dd)",
                )

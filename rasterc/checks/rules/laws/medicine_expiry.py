"""Month and year of the expiry date."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, Mark, marks
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.rules.laws.medicines import pack
from rasterc.profile.model import RuleSet


class MedicineExpiry(Rule):
    """Month and year of the expiry date."""

    id = "medicine-expiry"
    title = "The expiry date is not month and year, the year in four digits"
    rule_set = RuleSet.EU_MEDICINE
    reads_words = True
    rationale = (
        "The expiry date has the month, in two digits or at least three letters, and the year in "
        f"four digits, in that order. 11/29 could be a day in November. {NO_ADVICE}"
    )
    source = (
        "Directive 2001/83/EC, Article 54(h): month/year; the agencies' template for pack texts: "
        "four digits of the year; both from memory"
    )
    trips = pack(pattern="MM/yy", text="11/29")
    passes = pack()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every expiry date of another form."""
        for mark in marks(subject):
            if Kind.KEEPING in mark.kinds and not mark.since.endswith(")") and not _is_plain(mark):
                yield self.finding(
                    subject,
                    f'the expiry date prints "{mark.text}" ({mark.pattern})',
                    mark.span,
                    f"print {mark.clock}(MM/yyyy) or {mark.clock}(MMM yyyy)",
                )


def _is_plain(mark: Mark) -> bool:
    month, year = mark.part(MONTHS), mark.part("y")
    if month is None or year is None or len(year.text) != 4 or month.coded:
        return False
    return mark.parts.index(month) < mark.parts.index(year) and len(month.text) >= 2

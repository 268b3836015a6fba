"""Does a short month lengthen the life?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.durability import chain_of, labelled_marks
from rasterc.diagnostics import Severity
from rasterc.source.times import MoveTo, ShortMonth

_BEST = 'clock made in "UTC"\nclock best = made + 6 months, short month {}\n'


_BEST += 'block {{ line: "BEST BEFORE " best(dd MMM yyyy, upper) }}'


class ShortMonthLater(Rule):
    """next-day or carry on a date to which a product keeps."""

    id = "short-month-later"
    title = "After a short month the date lies in the month after"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "Six months from the 31st of August are the end of February to the trade; `next-day` and "
        "`carry` make them the 1st to the 3rd of March, days that the product was not tested for. "
        "Where a contract says so, silence the rule and name it."
    )
    source = "common practice, no source"
    trips = example(_BEST.format("carry"))
    passes = example(_BEST.format("last-day"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every clock behind such a date."""
        reported: set[str] = set()
        for mark in labelled_marks(subject):
            for clock in chain_of(subject, mark.clock):
                moved = any(isinstance(step, MoveTo) for step in clock.steps)
                later = clock.short_month is not ShortMonth.LAST_DAY
                if later and not moved and clock.name not in reported:
                    reported.add(clock.name)
                    yield self.finding(
                        subject,
                        f"where the month reached has no such day, {clock.name} is a day of the "
                        f"next month ({clock.short_month})",
                        clock.span,
                        "write `short month last-day`",
                    )

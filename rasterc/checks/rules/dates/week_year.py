"""Y, the year of the week, without the week."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.rules.dates.letters import UTS_35, dated, differs


class WeekYear(Rule):
    """Y, the year of the week, without the week."""

    id = "week-year"
    title = "YYYY is the year of the week, not the calendar year"
    rationale = (
        "Y is the year to which the ISO week belongs. It differs from the calendar year on up to "
        "three days at either end of a year: a year's mistake on a date, once a year, on a "
        "holiday. Beside month and day, or alone, the year is y."
    )
    source = f"{UTS_35}: y and Y; ISO 8601 for the weeks"
    trips = dated("dd MMM YYYY, upper", "31 DEC 2026")
    passes = dated("dd MMM yyyy, upper", "31 DEC 2026")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such year."""
        for mark in marks(subject):
            year = mark.part("Y")
            if year and (mark.has("MLdDQq") or not mark.has("w")):
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" prints the year of the week: {differs(subject)}',
                    mark.span,
                    f"write {mark.rewritten({'Y': 'y'})}",
                )

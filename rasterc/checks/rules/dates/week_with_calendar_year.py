"""w, the week, beside y, the calendar year."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.rules.dates.letters import UTS_35, dated, differs


class WeekWithCalendarYear(Rule):
    """w, the week, beside y, the calendar year."""

    id = "week-with-calendar-year"
    title = "A week is printed with the calendar year"
    rationale = (
        "The first days of January may lie in week 53 of the year before, and the last days of "
        "December in week 1 of the next. With the calendar year a code of early January then "
        "names a week that is a year away."
    )
    source = f"{UTS_35}: w and Y; ISO 8601 week dates"
    trips = dated("yyyy'W'ww", "2026W53")
    passes = dated("YYYY'W'ww", "2026W53")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such week."""
        for mark in marks(subject):
            if mark.has("w") and mark.has("y") and not mark.has("Y") and not mark.has("MLdD"):
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" prints a week with the calendar year: {differs(subject)}',
                    mark.span,
                    f"write {mark.rewritten({'y': 'Y'})}",
                )

"""The number of the month before that of the day, without the year in four digits first."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS
from rasterc.checks.rules.dates.numeric import DATE, example_of, numeric_dates, stands_before
from rasterc.diagnostics import Severity


class MonthBeforeDay(Rule):
    """The number of the month before that of the day, without the year in four digits first."""

    id = "month-before-day"
    title = "A date in numbers has the month before the day"
    severity = Severity.WARNING
    rationale = (
        "Most of the world reads the first number of a date as the day, so that 03/04 for the 4th "
        "of March is taken for the 3rd of April: a month's difference on a use-by date."
    )
    source = "common practice, no source"
    trips = Example(DATE.format(pattern="MM/dd/yyyy", text="03/04/2028"))
    passes = Example(DATE.format(pattern="yyyy-MM-dd", text="2028-03-04"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark in numeric_dates(subject):
            day, month, year = mark.part("d"), mark.part(MONTHS), mark.part("yY")
            assert day and month
            if stands_before(mark, month, day) and not (year and mark.parts.index(year) == 0):
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" has the month before the day: {example_of(mark)} is meant '
                    "as the 3rd of April and read as the 4th of March",
                    mark.span,
                    "write the month as a name, dd MMM yyyy, or the year first, yyyy-MM-dd",
                )

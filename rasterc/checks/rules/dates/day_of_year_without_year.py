"""The day of the year of a clock whose year is printed nowhere."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.rules.dates.letters import dated
from rasterc.diagnostics import Severity


class DayOfYearWithoutYear(Rule):
    """The day of the year of a clock whose year is printed nowhere."""

    id = "day-of-year-without-year"
    title = "The day of the year is printed without the year"
    severity = Severity.WARNING
    rationale = (
        "A day of the year comes again every year. When goods come back, or a lot is recalled, "
        "nobody can tell which year's day it was."
    )
    source = "ISO 8601: ordinal dates have a year; common practice"
    trips = dated("DDD", "365")
    passes = dated("yyDDD", "26365")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such day."""
        printed = marks(subject)
        with_year = {mark.clock for mark in printed if mark.has("yY")}
        for mark in printed:
            if mark.has("D") and mark.clock not in with_year:
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" is day {mark.text} of any year',
                    mark.span,
                    f"print the year before it: yyDDD, or {mark.clock}(y, last 1) if the product "
                    "keeps less than ten years",
                )

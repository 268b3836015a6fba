"""Does midnight belong to the day it is printed with?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.diagnostics import Severity


class Hour24(Rule):
    """k, hours from 1 to 24."""

    id = "hour-24"
    title = "The hour after midnight prints as 24, with the date of the day that begins"
    severity = Severity.WARNING
    rationale = (
        "k counts the hours from 1 to 24: half past midnight on the 25th prints 24:30 beside the "
        "25th, which reads as half an hour after the end of that day, a day too late. H counts "
        "from 0 to 23."
    )
    source = "UTS #35, part 4 (Dates), date field symbols: H and k"
    trips = example('clock packed in "UTC"\nblock { line: packed(yyyy-MM-dd kk:mm) }')
    passes = example('clock packed in "UTC"\nblock { line: packed(yyyy-MM-dd HH:mm) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such hour."""
        for mark in marks(subject):
            hour = mark.part("k")
            if hour and not hour.coded:
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" prints the hour after midnight as 24',
                    mark.span,
                    f"write {mark.rewritten({'k': 'H'})}",
                )

"""Hours of a clock whose zone has a clock change, with nothing else to tell codes apart."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.clock_changes import next_backward
from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import HOURS, marks
from rasterc.checks.rules.clocks.examples import TIME
from rasterc.diagnostics import Severity
from rasterc.values.fields.kinds import CounterText


class RepeatedHour(Rule):
    """Hours of a clock whose zone has a clock change, with nothing else to tell codes apart."""

    id = "repeated-hour"
    title = "An hour comes twice when the clocks go back"
    severity = Severity.NOTE
    samples = True
    rationale = (
        "In the night the clocks go back, every minute of an hour comes twice, and two codes made "
        "an hour apart are the same. A counter in the code tells them apart; a line that stands "
        "still in that hour has nothing to fear."
    )
    source = "IANA time zone database; common practice"
    trips = Example(
        TIME.format(zone="Europe/Dublin", pattern="dd MMM yyyy HH:mm", text="25 Nov 2027 14:05")
    )
    passes = Example(TIME.format(zone="UTC", pattern="dd MMM yyyy HH:mm", text="25 Nov 2027 14:05"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield one note, for the first hour printed."""
        counted = any(isinstance(field.source, CounterText) for field in subject.plan.fields)
        when = subject.when
        for mark in marks(subject):
            zone = subject.plan.clocks[mark.clock].zone
            if counted or when is None or zone is None or not mark.has(HOURS):
                continue
            change = next_backward(zone, when)
            if change is not None:
                first, last = change.repeated_from, change.repeated_until
                yield self.finding(
                    subject,
                    f"on {first.date()} the times {first:%H:%M} to {last:%H:%M} come twice in "
                    f"{zone.key}: codes made then are the same as an hour later",
                    mark.span,
                    'print a counter too, let the line stand in that hour, or use a clock in "UTC"',
                )
                return

"""Is a life in hours printed with its hour?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import HOURS, marks
from rasterc.checks.printed.durability import chain_of, labelled_marks
from rasterc.diagnostics import Severity
from rasterc.source.times import Offset

_ENDS = 'clock packed in "UTC"\nclock ends = packed + {}\n'


_ENDS += 'block {{ line: "USE BY " ends(dd MMM yyyy, upper) }}'


class LifeInHours(Rule):
    """Hours or minutes added to a date that is printed without its hour."""

    id = "life-in-hours"
    title = "A life counted in hours is printed as a day"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "72 hours after 23:30 on the night the clocks go forward it is half past midnight of a "
        "fourth day, and a product day that begins at six is left out of account: elapsed hours "
        "may print a day more than the food keeps. A date without its hour counts days."
    )
    source = "IANA time zone database; common practice"
    trips = example(_ENDS.format("72 hours"))
    passes = example(_ENDS.format("3 days"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        timed = {mark.clock for mark in marks(subject) if mark.has(HOURS)}
        for mark in labelled_marks(subject):
            steps = [step for clock in chain_of(subject, mark.clock) for step in clock.steps]
            elapsed = any(isinstance(s, Offset) and s.unit.elapsed_minutes for s in steps)
            if elapsed and mark.clock not in timed:
                yield self.finding(
                    subject,
                    f'"{mark.text}" is counted in hours or minutes, and printed without its hour',
                    mark.span,
                    f"count days: clock {mark.clock} = packed + 3 days, say; or print the hour: "
                    f"{mark.clock}(dd MMM yyyy HH:mm)",
                )

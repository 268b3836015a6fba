"""Is the end of the month still the end after months are added?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import chain_of
from rasterc.diagnostics import Severity
from rasterc.source.times import MoveTo, Offset, Step, Target, Unit

_ENDS_OF = (Target.MONTH_END, Target.YEAR_END)


_ENDS = 'clock made in "UTC"\nclock expiry = made {}\n'


_ENDS += 'block {{ line: "EXP " expiry(dd MMM yyyy, upper) }}'


class MonthEndLost(Rule):
    """Months added after a move to the end of a month."""

    id = "month-end-lost"
    title = "Months are added after the move to the end of a month"
    severity = Severity.WARNING
    rationale = (
        "The last of February plus three months is the 28th of May, not its end: the move has to "
        "come last. Said the other way round, three days of life are lost in some months, and the "
        "date is never the same as in the specification."
    )
    source = "arithmetic of the calendar"
    trips = example(_ENDS.format("to month end + 3 months"))
    passes = example(_ENDS.format("+ 3 months to month end"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date with its day that is so counted."""
        reported: set[str] = set()
        for mark in marks(subject):
            chain = chain_of(subject, mark.clock)
            steps = [step for clock in chain for step in clock.steps]
            if mark.has("dD") and mark.clock not in reported and _is_lost(steps):
                reported.add(mark.clock)
                yield self.finding(
                    subject,
                    f"{mark.clock} goes to the end of a month and then adds months: it is no end "
                    "of a month in the end",
                    chain[-1].span,
                    "add first and move last: + 3 months to month end, say",
                )


def _is_lost(steps: Sequence[Step]) -> bool:
    ends = [i for i, s in enumerate(steps) if isinstance(s, MoveTo) and s.target in _ENDS_OF]
    after = steps[ends[-1] + 1 :] if ends else ()
    return any(isinstance(s, Offset) and s.unit in (Unit.MONTH, Unit.YEAR) for s in after)

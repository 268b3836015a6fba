"""A fixed date that has passed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from rasterc.checks.model import LIVES, Example, Finding, Rule, Subject
from rasterc.checks.printed.durability import (
    fixed_days,
)


class ExpiredDate(Rule):
    """A fixed date that has passed."""

    id = "expired-date"
    title = "A fixed date of the message has passed"
    rationale = (
        "A date written into the message does not move on. After it has passed, every product "
        "leaves the line expired, or claims a day that never comes."
    )
    source = "common practice, no source"
    trips = Example(
        'message example { raster 7 font upright-7 clock best = 2027-06-30 block { line: "EXP " '
        "best(dd MMM yyyy, upper) } }"
    )
    passes = Example(trips.message.replace("2027-06-30", "2028-06-30"))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (LIVES,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every fixed date before the day of the instant."""
        when = subject.resolved.instant.when
        for mark, last in fixed_days(subject):
            if when is not None and last < when.date():
                yield self.finding(
                    subject,
                    f"{mark.text} has passed: from {last + timedelta(days=1)} on every product "
                    "carries a day that is over",
                    mark.span,
                    f"move the date of clock {mark.clock}, or count it from the day of production: "
                    f"clock {mark.clock} = packed + ...",
                )

"""Does a date that people read stand apart from other digits?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.durability import labelled_marks
from rasterc.diagnostics import Severity

_BEST = 'clock packed in "UTC"\nclock best = packed + 60 days\n'


class DateRunsOn(Rule):
    """A date to which a product keeps, with digits of something else directly beside it."""

    id = "date-runs-on"
    title = "Other digits stand directly beside a date that people read"
    severity = Severity.WARNING
    rationale = (
        "24 JAN 202827329 is a date and a lot to those who know, and neither to the customer. A "
        "blank, or a line of its own, sets them apart."
    )
    source = "NUREG-0700 rev. 3, 11.4.1.5: words at least one character apart"
    trips = example(_BEST + 'block { line: "BB " best(dd MMM yyyy, upper) packed(yyDDD) }')
    passes = example(_BEST + 'block { line: "BB " best(dd MMM yyyy, upper) " L" packed(yyDDD) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark in labelled_marks(subject):
            after, before = mark.after[:1], mark.since[-1:] or mark.before[-1:]
            own = mark.text
            if mark.since.endswith(")"):
                continue  # an element, whose length is laid down
            if (own[-1:].isdigit() and after.isdigit()) or (own[:1].isdigit() and before.isdigit()):
                yield self.finding(
                    subject,
                    f'"{own}" and the digits beside it run into each other',
                    mark.span,
                    "put a blank between them, or the lot on a line of its own",
                )

"""Does a number without padding stand apart?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.numbers import named, numbers_that_touch
from rasterc.diagnostics import Severity


class NumberUnpadded(Rule):
    """A counter or input of varying length with digits of a fixed number beside it."""

    id = "number-unpadded"
    title = "A number of varying length runs on from other digits"
    severity = Severity.WARNING
    rationale = (
        "2732942 is day 27329 with number 42 to those who know the form, and one number to "
        "everybody else. A width or a sign between them settles it."
    )
    source = "common practice, no source"
    trips = example(
        'clock packed in "UTC"\ncounter case from 1 to 999\n'
        'block { line: "LOT " packed(yyDDD) case }'
    )
    passes = example(
        'clock packed in "UTC"\ncounter case from 1 to 999\n'
        'block { line: "LOT " packed(yyDDD) "-" case(000) }'
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such number."""
        for number in numbers_that_touch(subject):
            token = number.token
            if token.letter or number.beside or token.field is None:
                continue  # numbers-touch
            yield self.finding(
                subject,
                f"{named(token)} has not always so many characters, and {named(number.touches)} "
                "stands directly beside it",
                token.span,
                "give it a width, one zero for each digit, or put a sign between them",
            )

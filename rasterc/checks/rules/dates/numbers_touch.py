"""Can it be told where one number ends and the next begins?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.numbers import named, numbers_that_touch


class NumbersTouch(Rule):
    """Numbers of varying length with a digit directly beside them: in dates, or two together."""

    id = "numbers-touch"
    title = "A number without padding touches another"
    rationale = (
        "11128 made of day, month and year is the 11th of January or the 1st of November. Where "
        "the day, month or hour of a date is printed in one or two digits, or two numbers of "
        "varying length stand together, the code stands for several dates or values."
    )
    source = "arithmetic: two values print the same characters"
    trips = example('clock packed in "UTC"\nblock { line: "LOT " packed(dMyy) }')
    passes = example('clock packed in "UTC"\nblock { line: "LOT " packed(yyDDD) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such number."""
        for number in numbers_that_touch(subject):
            token = number.token
            if not (token.letter or number.beside):
                continue  # number-unpadded
            name = token.field.name if token.field else ""
            wanted = f"{name}({token.letter * (3 if token.letter == 'D' else 2)})"
            yield self.finding(
                subject,
                f"{named(token)} has not always so many digits, and {named(number.touches)} stands "
                "directly beside it: other values print the same",
                token.span,
                f"pad it: {wanted if token.letter else f'{name}(000)'}, or put a sign between them",
            )

"""A counter's values against the products between two restarts."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, inf

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.pace import most_products
from rasterc.checks.rules.codes.counted import COUNTED, counters, restart_minutes
from rasterc.source.declarations import AtEnd, Counter
from rasterc.values.given.counters import prints


class CounterEnds(Rule):
    """A counter's values against the products between two restarts."""

    id = "counter-ends"
    title = "The counter ends before it starts again"
    needs_profile = True
    samples = True
    rationale = (
        "A counter that stops at its last value stops the line, in the middle of a long day. Its "
        "values must last for every product that can pass until it restarts: the profile's "
        "products_per_day, else all that fit at the fastest speed one behind another. The day on "
        "which clocks go back has 25 hours."
    )
    source = "kinematics: products = speed / product pitch x time"
    trips = Example(
        COUNTED.format(last=9999, end="stop", date="yyDDD", width="0000", text="27329 0001"),
    )
    passes = Example(
        COUNTED.format(
            last=9999999, end="stop", date="yyDDD", width="0000000", text="27329 0000001"
        ),
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every printed counter that stops too early."""
        for counter, span in counters(subject):
            minutes = restart_minutes(subject, counter)
            if counter.at_end is not AtEnd.STOP or minutes == inf or subject.profile is None:
                continue
            most, has = most_products(subject.profile, minutes), prints(counter)
            if most is not None and most > has:
                needed = ceil(most / counter.repeat)
                yield self.finding(
                    subject,
                    f"counter {counter.name} has {has} prints; up to {ceil(most)} products pass "
                    f"until it restarts, in {minutes / 60:g} hours",
                    span,
                    f"let it take {needed} values ({_digits(needed, counter)} characters), or "
                    "state products_per_day in the profile if fewer are coded",
                    measured=has,
                    limit=ceil(most),
                    unit="prints",
                )


def _digits(values: int, counter: Counter) -> int:
    """Characters that so many values take in the counter's digits."""
    width, reach = 1, len(counter.digits)
    while reach <= values:
        width, reach = width + 1, reach * len(counter.digits)
    return width

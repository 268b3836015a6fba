"""A counter that begins again while everything else that is printed stays the same."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, inf

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.pace import most_products
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.tokens import Token
from rasterc.checks.rules.codes.counted import COUNTED, counters, restart_minutes
from rasterc.diagnostics import Severity
from rasterc.source.declarations import AtEnd
from rasterc.values.dates.patterns import LETTERS
from rasterc.values.fields.kinds import ClockTable
from rasterc.values.given.counters import prints


class CounterWraps(Rule):
    """A counter that begins again while everything else that is printed stays the same."""

    id = "counter-wraps"
    title = "The counter begins again, and nothing printed tells the codes apart"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "`at end wrap` is right when the date or the hour beside the counter has changed by then. "
        "If more products pass while they stay the same, two products carry one code."
    )
    source = "kinematics: products = speed / product pitch x time"
    trips = Example(
        COUNTED.format(last=9999, end="wrap", date="yyDDD", width="0000", text="27329 0001")
    )
    passes = Example(
        COUNTED.format(
            last=9999, end="wrap", date="yyDDD HH:mm", width="0000", text="27329 14:05 0001"
        )
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every printed counter that wraps too early."""
        for counter, span in counters(subject):
            if counter.at_end is not AtEnd.WRAP:
                continue
            same = min(_same_minutes(subject), restart_minutes(subject, counter))
            most = inf if same == inf else _most(subject, same)
            if most is not None and most > prints(counter):
                passing = "any number of" if most == inf else f"up to {ceil(most)}"
                yield self.finding(
                    subject,
                    f"counter {counter.name} begins again after {prints(counter)} prints; "
                    f"{passing} products pass before anything else in the code changes",
                    span,
                    "let it run further, print a finer time beside it (HH:mm), or let it stop at "
                    "its end",
                    measured=prints(counter),
                    limit=None if most == inf else ceil(most),
                    unit="prints",
                )


def _same_minutes(subject: Subject) -> float:
    """How long everything printed but counters stays the same, in minutes."""
    return min((_unit_minutes(part) for mark in marks(subject) for part in mark.parts), default=inf)


def _unit_minutes(part: Token) -> float:
    source = part.field.source if part.field else None
    if isinstance(source, ClockTable) and source.table.every_minutes:
        return float(source.table.every_minutes)
    return LETTERS[part.letter].part.longest_minutes


def _most(subject: Subject, minutes: float) -> float | None:
    return most_products(subject.profile, minutes) if subject.profile else None

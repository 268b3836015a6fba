"""Can a typed day of production lie ahead?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, marks
from rasterc.checks.printed.durability import is_date
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.printed.typed_days import TypedDay, keeps_from, printing_clock, typed_day
from rasterc.diagnostics import Severity

_PRODUCED = frozenset({Kind.PACKED, Kind.FROZEN})

_LAID = 'clock packed in "UTC"\ninput laid date "dd.MM.yy", within 5 days {} packed\n'
_LAID += "clock best = laid + 28 days\n"
_LAID += 'block {{ line: "BEST BEFORE " best(dd MMM yyyy, upper) " L" packed(yyDDD) }}'
_TYPED = {"laid": "25.11.27"}


class TypedDateAhead(Rule):
    """A typed day of production whose limits allow days after that of printing."""

    id = "typed-date-ahead"
    title = "A typed day of production may lie after the day of printing"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "What is packed was made, laid or slaughtered before it is packed. `within 5 days after "
        "packed` for `before` refuses every right day but one, and lets a date be printed that the "
        "product does not keep to. Looked at are typed dates behind the words for a date of "
        "production, and those from which a printed date is counted forward. Where products bear "
        "the date of a later day on purpose, silence the rule and say so."
    )
    source = "common practice, no source"
    trips = example(_LAID.format("after"), inputs=_TYPED)
    passes = example(_LAID.format("before"), inputs=_TYPED)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such input."""
        told: set[str] = set()
        for mark in filter(is_date, marks(subject)):
            typed = typed_day(subject, mark.clock)
            if typed is None or typed.is_open or typed.declared.name in told:
                continue  # without a limit ahead: `typed-date-open`
            ahead = (typed.last - max(typed.printed, default=typed.last)).days
            if ahead > 0 and _is_production(subject, typed, mark):
                told.add(typed.declared.name)
                clock = printing_clock(subject, typed)
                yield self.finding(
                    subject,
                    f"{typed.last} may be typed for {typed.declared.name}: {ahead} days after "
                    "the day of printing",
                    typed.declared.span,
                    f"limit it to days before: `within ... before {clock}`",
                    measured=ahead,
                    limit=0,
                    unit="days",
                )


def _is_production(subject: Subject, typed: TypedDay, mark: Mark) -> bool:
    introduced = mark.clock == typed.declared.name and not mark.kinds.isdisjoint(_PRODUCED)
    return introduced or keeps_from(subject, mark)

"""Do dates move on with the day of production?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.lead_words import KEEPING, Kind
from rasterc.checks.printed.literals import Segment, written
from rasterc.checks.printed.written import Written
from rasterc.diagnostics import Severity

_KINDS = {Kind.PACKED, Kind.FROZEN, *KEEPING}


class WrittenDate(Rule):
    """A date in a literal text, behind the words for one, or alone on its line."""

    id = "written-date"
    title = "A date is written into a text, and never moves on"
    severity = Severity.WARNING
    rationale = (
        "The same day is printed tomorrow and next year. Where a season or one run is meant, a "
        "clock with a fixed date says so, and is looked at when it has passed."
    )
    source = "common practice, no source"
    trips = example('block { line: "BEST BEFORE 12 MAR 2029" }')
    passes = example('clock best = 2029-03-12\nblock { line: "BEST BEFORE " best(yyyy-MM-dd) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date, past or not; not for an input's default."""
        for segment, one, leads in written(subject):
            introduced = any(lead.kind in _KINDS for lead in leads)
            if segment.text.isspace() or not (introduced or _is_alone(segment, one)):
                continue
            if segment.text != segment.line.text[segment.offset :][: len(segment.text)]:
                continue
            if _is_default(segment):
                continue
            yield self.finding(
                subject,
                f'"{one.text}" is the same on every product',
                segment.span,
                "count it from a clock, or declare a fixed one: clock best = 2029-03-12",
            )


def _is_alone(segment: Segment, one: Written) -> bool:
    return one.whole and segment.line.text.strip() == one.text.strip()


def _is_default(segment: Segment) -> bool:
    tokens = segment.line.tokens
    return any(token.field is not None and token.span == segment.span for token in tokens)

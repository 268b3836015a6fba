"""Does the lot change with the production?"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.printed.literals import Segment, segments
from rasterc.diagnostics import Severity

_CODE = re.compile(r"(?<![^\W_])(?=[\w/-]*\d)[\w/-]{4,}")


class WrittenLot(Rule):
    """A lot of at least four characters written into a text."""

    id = "written-lot"
    title = "A lot is written into a text"
    severity = Severity.WARNING
    rationale = (
        "A lot in a text is the same for everything that is ever made, and a recall of it takes "
        "back all of it. A production date or an input makes lots."
    )
    source = "common practice, no source"
    trips = example('block { line: "LOT 27329" }')
    passes = example('clock packed in "UTC"\nblock { line: "LOT " packed(yyDDD) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such text with no field directly beside it."""
        for segment in segments(subject):
            for match in _CODE.finditer(segment.text):
                own = segment.text[match.start() : match.end()]
                if _is_lot(segment, match.start()) and not _continues(segment, match):
                    yield self.finding(
                        subject,
                        f'"{own}" is the lot of every product',
                        segment.span,
                        'print a production date, "LOT " packed(yyDDD), or an input',
                    )


def _is_lot(segment: Segment, start: int) -> bool:
    is_default = any(t.field is not None and t.span == segment.span for t in segment.line.tokens)
    kinds = {lead.kind for lead in segment.leads_before(start)}
    return not is_default and Kind.LOT in kinds


def _continues(segment: Segment, match: re.Match[str]) -> bool:
    """Whether a field goes on with the lot."""
    return match.end() == len(segment.text.rstrip(" -/")) and segment.after is not None

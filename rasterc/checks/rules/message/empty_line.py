"""Lines that print nothing but blanks."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.diagnostics import Severity


class EmptyLine(Rule):
    """Lines that print nothing but blanks."""

    id = "empty-line"
    title = "A line prints nothing"
    severity = Severity.WARNING
    rationale = (
        "A line without text takes rows of the raster, and the head's time, and prints nothing. "
        "Usually a field was taken out."
    )
    source = "common practice, no source"
    trips = Example(
        'message example { raster 16 font upright-7 block { line: "LOT 7" line: " " } }'
    )
    passes = Example(
        'message example { raster 16 font upright-7 block { line: "LOT 7" line: "B" } }'
    )

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such line."""
        for line, text in zip(subject.message.lines, subject.resolved.lines, strict=True):
            if not text.strip():
                yield self.finding(
                    subject, "this line prints nothing", line.span, "give it a text, or remove it"
                )

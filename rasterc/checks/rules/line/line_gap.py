"""Empty rows between stacked lines."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from rasterc.checks.model import FAULTS, Example, Finding, Rule, Subject
from rasterc.checks.rules.line.examples import TWO_LINES
from rasterc.diagnostics import Severity
from rasterc.layout.model import PlacedLine


class LineGap(Rule):
    """Empty rows between stacked lines."""

    id = "line-gap"
    title = "Stacked lines touch"
    severity = Severity.WARNING
    rationale = "Without an empty row between them the characters of two lines run into each other."
    source = "common practice, no source"
    trips = Example(TWO_LINES.format(raster=14))
    passes = Example(TWO_LINES.format(raster=16))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (FAULTS,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every two lines with no row between their cells."""
        lines = subject.layout.lines if subject.layout else ()
        for upper, lower in pairwise(lines):
            if _block(upper) == _block(lower) is not None and upper.bottom == lower.top:
                yield self.finding(
                    subject,
                    f"no empty row between this line (rows {lower.bottom} to {lower.top - 1}) "
                    f"and the one above it (rows {upper.bottom} to {upper.top - 1})",
                    lower.source.span,
                    "use a smaller font for one of them, or a raster one drop higher",
                    measured=0,
                    limit=1,
                    unit="rows",
                )


def _block(line: PlacedLine) -> int | None:
    return line.boxes[0].block if line.boxes else None

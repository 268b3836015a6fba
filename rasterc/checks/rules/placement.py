"""Does the message stand on its raster?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.layout.model import PlacedLine

_TWO_LINES = """
message example {{
  raster {raster}
  font upright-7
  block {{ line: "BEST BEFORE"  line: "31 DEC 2027" }}
}}
"""


class MissingGlyph(Rule):
    """Characters the line's font does not carry."""

    id = "missing-glyph"
    title = "The font does not carry a character"
    rationale = "A character without a glyph would print as nothing, and a code would say less."
    source = "common practice, no source"
    trips = Example('message example { raster 5  font upright-5  block { line: "größe" } }')
    passes = Example('message example { raster 7  font upright-7  block { line: "größe" } }')

    def check(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every character the layout could not print."""
        for fault in subject.faults:
            if fault.code == self.id:
                yield self.finding(subject, fault.message, fault.span, fault.help)


class RasterOverflow(Rule):
    """Lines that overlap or reach above the raster, fonts and pictures that do not fit."""

    id = "raster-overflow"
    title = "The message does not fit its raster"
    rationale = (
        "A raster throws a fixed number of rows. Lines that share rows would print over each "
        "other, and rows above the raster cannot be thrown at all."
    )
    source = "geometry"
    trips = Example(_TWO_LINES.format(raster=9))
    passes = Example(_TWO_LINES.format(raster=16))

    def check(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for everything else the layout could not place."""
        for fault in subject.faults:
            if fault.code != MissingGlyph.id:
                yield self.finding(subject, fault.message, fault.span, fault.help)


class LineGap(Rule):
    """Empty rows between stacked lines."""

    id = "line-gap"
    title = "Stacked lines touch"
    severity = Severity.WARNING
    rationale = "Without an empty row between them the characters of two lines run into each other."
    source = "common practice, no source"
    trips = Example(_TWO_LINES.format(raster=14))
    passes = Example(_TWO_LINES.format(raster=16))

    def check(self, subject: Subject) -> Iterator[Finding]:
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

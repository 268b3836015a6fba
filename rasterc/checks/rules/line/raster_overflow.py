"""Lines that overlap or reach above the raster, fonts and pictures that do not fit."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import FAULTS, Example, Finding, Rule, Subject
from rasterc.checks.rules.line.examples import TWO_LINES


class RasterOverflow(Rule):
    """Lines that overlap or reach above the raster, fonts and pictures that do not fit."""

    id = "raster-overflow"
    title = "The message does not fit its raster"
    can_be_silenced = False
    rationale = (
        "A raster throws a fixed number of rows. Lines that share rows would print over each "
        "other, and rows above the raster cannot be thrown at all."
    )
    source = "geometry"
    trips = Example(TWO_LINES.format(raster=9))
    passes = Example(TWO_LINES.format(raster=16))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (FAULTS,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for everything else the layout could not place."""
        for fault in subject.faults:
            if fault.code != "missing-glyph":
                yield self.finding(subject, fault.message, fault.span, fault.help)

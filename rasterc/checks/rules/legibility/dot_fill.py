"""Do the drops of a stroke look like a stroke?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.pace import stroke_pitch_mm
from rasterc.diagnostics import Severity

_LEAST, _BETTER = 0.3, 0.5


_MARK = 'block { line: "FLEX 3G1.5" }'


class DotFill(Rule):
    """The share of its cell that a drop covers."""

    id = "dot-fill"
    title = "Drops cover less than 30 % of their cells"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "The less of the cell between rows and strokes a drop covers, the more a character falls "
        "apart into dots. At least 30 % are asked for, 50 % are better: round drops of 0.62 and "
        "0.80 of the pitch. Where drops are narrower than the gap, `dot-spacing` speaks as well."
    )
    source = (
        "NUREG-0700 rev. 3, 11.3.1.4.1-7: 30 % of the cell at least, 50 % preferred; made for "
        "displays"
    )
    trips = example(_MARK, profile="dot_diameter_mm = 0.2")
    passes = example(_MARK, profile="dot_diameter_mm = 0.28")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding when drops are too small for the pitches of rows and strokes."""
        strokes = stroke_pitch_mm(subject)
        if subject.profile is None or not strokes:
            return
        dot, rows = subject.profile.product.dot_diameter_mm, subject.profile.head.row_pitch_mm
        fill = math.pi / 4 * dot**2 / (rows * strokes)
        if fill < _LEAST - 1e-9:
            yield self.finding(
                subject,
                f"drops of {dot:g} mm cover {fill:.0%} of their cells of {rows:.2f} x "
                f"{strokes:.2f} mm",
                subject.message.raster_span,
                f"make drops of {_dot_mm(_LEAST, rows, strokes):.2f} mm, better "
                f"{_dot_mm(_BETTER, rows, strokes):.2f} mm, or bring rows and strokes nearer",
                measured=fill,
                limit=_LEAST,
            )


def _dot_mm(fill: float, row_pitch_mm: float, stroke_pitch_mm: float) -> float:
    """The diameter of a drop that covers so much of its cell, rounded up to 0.01 mm."""
    wanted = math.sqrt(fill * row_pitch_mm * stroke_pitch_mm * 4 / math.pi)
    return math.ceil(wanted * 100 - 1e-9) / 100

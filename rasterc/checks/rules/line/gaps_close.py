"""Width of a drop against the gap that one missing drop leaves."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Finding, Rule, Subject
from rasterc.diagnostics import Severity


class GapsClose(Rule):
    """Width of a drop against the gap that one missing drop leaves."""

    id = "gaps-close"
    title = "Drops are so wide that the gaps in characters close"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "The openings of a character are often one drop wide. Between two drops with one left out "
        "the clear width is twice the pitch less the width of a drop; at nothing, e and o fill up "
        "and 8 looks like 0."
    )
    source = "geometry: clear width = 2 x pitch - drop"
    trips = Example(profile=EXAMPLE_PROFILE.replace("dot_diameter_mm = 0.4", "dot_diameter_mm = 1"))
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for rows and for strokes that leave no gap."""
        if subject.profile is None:
            return
        dot = subject.profile.product.dot_diameter_mm
        pitches = {
            "rows": subject.profile.head.row_pitch_mm,
            "strokes": subject.profile.line.stroke_pitch_mm,
        }
        for what, pitch in pitches.items():
            clear = 2 * pitch - dot
            if clear <= 1e-9:
                yield self.finding(
                    subject,
                    f"{what} stand {pitch:.2f} mm apart: drops of {dot:g} mm close the gap that "
                    "one missing drop leaves",
                    subject.message.raster_span,
                    f"bring {what} to more than {dot / 2:.2f} mm ({dot:g} mm shows them apart), or "
                    "make smaller drops",
                    measured=clear,
                    limit=0,
                    unit="mm",
                )

"""Space between drops against the width of a drop."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Finding, Rule, Subject
from rasterc.checks.pace import stroke_pitch_mm
from rasterc.diagnostics import Severity


class DotSpacing(Rule):
    """Space between drops against the width of a drop."""

    id = "dot-spacing"
    title = "Drops stand too far apart"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "Characters read best when a dot is at least as wide as the space between dots; farther "
        "apart the eye sees dots, not strokes."
    )
    source = "report ADA060823 (1978) on dot-matrix legibility, abstract"
    trips = Example(
        profile=EXAMPLE_PROFILE.replace("dot_diameter_mm = 0.4", "dot_diameter_mm = 0.15")
    )
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for rows, and one for strokes at the worst speed, that are too wide."""
        if subject.profile is None:
            return
        dot = subject.profile.product.dot_diameter_mm
        pitches = {"rows": subject.profile.head.row_pitch_mm}
        if strokes := stroke_pitch_mm(subject):
            pitches["strokes"] = strokes
        for what, pitch in pitches.items():
            if pitch - dot > dot + 1e-9:
                yield self.finding(
                    subject,
                    f"{what} stand {pitch:.2f} mm apart, which leaves {pitch - dot:.2f} mm "
                    f"between drops of {dot:g} mm",
                    subject.message.raster_span,
                    f"bring {what} to {2 * dot:.2f} mm or less",
                    measured=pitch - dot,
                    limit=dot,
                    unit="mm",
                )

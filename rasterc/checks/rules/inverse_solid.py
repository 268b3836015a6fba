"""Can the characters of an inverse line be read?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.pace import stroke_pitch_mm

_LEAST = 0.25
_LINE = 'block {{ line{}: "HOT" }}'


class InverseSolid(Rule):
    """What is left of the gaps that an inverse line's characters are made of."""

    id = "inverse-solid"
    title = "The characters of an inverse line close up"
    needs_profile = True
    rationale = (
        "In an inverse line the strokes of characters are the drops that are left out: a gap one "
        "drop wide, into which the drops at its sides spread. What is left is twice the pitch less "
        "the width of a drop; below a quarter of the pitch the line is a solid bar."
    )
    source = "geometry: clear width = 2 x pitch - drop; a quarter: common practice, no source"
    trips = example(_LINE.format(" inverse"), raster=16, profile="dot_diameter_mm = 0.62")
    passes = example(_LINE.format(""), raster=16, profile="dot_diameter_mm = 0.62")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every inverse line whose gaps are too narrow."""
        profile = subject.profile
        if profile is None:
            return
        dot = profile.product.dot_diameter_mm
        pitches = (profile.head.row_pitch_mm, stroke_pitch_mm(subject))
        narrowest = min(pitch for pitch in pitches if pitch is not None)
        clear, limit = 2 * narrowest - dot, _LEAST * narrowest
        for line, _, _ in subject.printed_lines:
            if line.inverse and line.bold == 1 and clear < limit:
                yield self.finding(
                    subject,
                    f"its characters are gaps of {max(0.0, clear):.2f} mm between drops of "
                    f"{dot:g} mm",
                    line.span,
                    f"print it plain, use smaller drops ({2 * narrowest - limit:.2f} mm at most), "
                    "or a wider pitch",
                    measured=clear,
                    limit=limit,
                    unit="mm",
                )

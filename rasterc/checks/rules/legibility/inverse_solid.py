"""Can the characters of an inverse line be read?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.pace import stroke_pitch_mm
from rasterc.diagnostics import Severity
from rasterc.fonts.model import Font
from rasterc.head.timing import height_mm

_SHARE = 1 / 8


_LINE = 'block {{ line{}: "HOT" }}'


class InverseSolid(Rule):
    """What is left of the gaps that an inverse line's characters are made of."""

    id = "inverse-solid"
    title = "The characters of an inverse line are too thin to be read"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "In an inverse line the strokes of characters are the drops that are left out: a gap of a "
        "drop or two, into which the drops at its sides spread. Light characters on a dark ground "
        "need strokes of an eighth of their height at least; what is left of a gap is its pitches, "
        "and one more, less the width of a drop."
    )
    source = "DOD-HDBK-791, 6-5.3.2: stroke 1/7 to 1/8 of the height, light on dark"
    trips = example(_LINE.format(" inverse"), raster=16)
    passes = example(_LINE.format(""), raster=16)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every inverse line whose gaps are too narrow."""
        profile, pitch = subject.profile, stroke_pitch_mm(subject)
        if profile is None or pitch is None:
            return
        dot, row_pitch = profile.product.dot_diameter_mm, profile.head.row_pitch_mm
        for line, font in subject.lines_to_print:
            drops = _stroke_drops(font) * line.bold
            clear = (drops + 1) * pitch - dot
            height = height_mm(font.rows_of("H0"), row_pitch, dot)
            if line.inverse and clear + 1e-9 < height * _SHARE:
                yield self.finding(
                    subject,
                    f"its characters are gaps of {max(0.0, clear):.2f} mm between drops of "
                    f"{dot:g} mm, {height:.2f} mm high",
                    line.span,
                    "print it plain, or use smaller drops "
                    f"({(drops + 1) * pitch - height * _SHARE:.2f} mm at most)",
                    measured=clear,
                    limit=height * _SHARE,
                    unit="mm",
                )


def _stroke_drops(font: Font) -> int:
    """Drops in the width of an upright stroke: that of the foot of H."""
    glyph = font.glyphs.get("H")
    foot = [bool(column >> font.descent & 1) for column in glyph.columns] if glyph else []
    return foot.index(False) if False in foot and foot[0] else 1

"""Width of a character against its height on the product."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Finding, Rule, Subject
from rasterc.checks.pace import stroke_pitch_mm
from rasterc.checks.rules.legibility.heights import MIN_COLUMNS, MIN_ROWS, matrix
from rasterc.diagnostics import Severity
from rasterc.fonts.model import Font
from rasterc.head.timing import height_mm, length_mm
from rasterc.profile.model import LineProfile
from rasterc.source.message import Line


class CharacterProportion(Rule):
    """Width of a character against its height on the product."""

    id = "character-proportion"
    title = "Characters are too wide or too narrow for their height"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "A character between half as wide as high and as wide as high is read easily, best between "
        "0.7 and 0.9. The stroke pitch makes it wide, the row pitch high. Below the smallest "
        "matrix, `character-matrix` speaks first and this is not looked at."
    )
    source = "ISO 9241-3: width : height 0.5 to 1 allowed, 0.7 to 0.9 recommended"
    trips = Example(
        profile=EXAMPLE_PROFILE.replace("stroke_pitch_mm = 0.35", "stroke_pitch_mm = 0.6")
    )
    passes = Example()
    narrowest, widest = 0.5, 1.0

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line whose characters are outside the limits."""
        profile, pitch = subject.profile, stroke_pitch_mm(subject)
        if profile is None or pitch is None:
            return
        for line, font in subject.lines_to_print:
            columns, rows = matrix(font)
            if columns < MIN_COLUMNS or rows < MIN_ROWS:
                continue
            width, height = _size_mm(line, font, profile, pitch)
            ratio = width / height
            if not self.narrowest - 1e-9 <= ratio <= self.widest + 1e-9:
                wanted = pitch * min(max(ratio, 0.7), 0.9) / ratio
                what = "row" if line.tower else "stroke"
                now = profile.head.row_pitch_mm if line.tower else pitch
                yield self.finding(
                    subject,
                    f"characters are {width:.2f} mm wide and {height:.2f} mm high, {ratio:.2f} : 1",
                    line.font_span,
                    f"bring the {what} pitch from {now:.3f} to about {now * wanted / pitch:.3f} mm",
                    measured=ratio,
                    limit=self.widest if ratio > self.widest else self.narrowest,
                )


def _size_mm(line: Line, font: Font, profile: LineProfile, pitch: float) -> tuple[float, float]:
    """Width and height of a character as read: a tower's characters are turned."""
    columns, rows = matrix(font)
    dot, row_pitch = profile.product.dot_diameter_mm, profile.head.row_pitch_mm
    across = rows if line.tower else columns
    strokes = across * (line.bold + line.wide - 1) - (line.wide - 1)
    along = length_mm(strokes, pitch, dot)
    upright = height_mm(columns if line.tower else rows, row_pitch, dot)
    return (upright, along) if line.tower else (along, upright)

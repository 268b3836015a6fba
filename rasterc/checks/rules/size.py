"""Are the characters large enough, and of a shape that is read easily?"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Finding, Rule, Subject
from rasterc.checks.pace import stroke_pitch_mm
from rasterc.diagnostics import Severity
from rasterc.fonts.model import Font
from rasterc.head.timing import height_mm, length_mm
from rasterc.profile.model import LineProfile
from rasterc.source.message import Line

MIN_COLUMNS, MIN_ROWS = 5, 7
"""ISO 9241-3: the least matrix for digits and capitals, width x height."""


class CharacterHeight(Rule):
    """Height of capitals and digits against the profile's minimum."""

    id = "character-height"
    title = "Characters are smaller than the product asks for"
    needs_profile = True
    rationale = (
        "The height is that of capitals and digits at the profile's row pitch, the drop included. "
        "A shorter throw or a smaller font makes characters smaller."
    )
    source = "the limit is the profile's own, min_character_height_mm"
    trips = Example(profile=EXAMPLE_PROFILE.replace("height_mm = 1.2", "height_mm = 3"))
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line whose capitals are too small."""
        profile = subject.profile
        limit = profile.product.min_character_height_mm if profile else None
        if profile is None or limit is None:
            return
        dot, pitch = profile.product.dot_diameter_mm, profile.head.row_pitch_mm
        for line, font in subject.lines_to_print:
            rows = font.cell_width() if line.tower else font.rows_of("H0")
            height = characters_mm(rows, profile)
            if height + 1e-9 < limit:
                needed = ceil((limit - dot) / pitch - 1e-9) + 1
                yield self.finding(
                    subject,
                    f"characters of {font.name} are {height:.2f} mm high; "
                    f"{limit:g} mm are asked for",
                    line.font_span,
                    f"use a font of at least {needed} drops, or {taller(rows, limit, profile)}",
                    measured=height,
                    limit=limit,
                    unit="mm",
                )


class CharacterMatrix(Rule):
    """Drops a character is made of."""

    id = "character-matrix"
    title = "Characters have fewer than 5 x 7 drops"
    severity = Severity.NOTE
    rationale = (
        "Five drops wide and seven high is the least from which digits and capitals are read "
        "without mistake. Smaller ones fit fast lines, where only a metre or a number is read."
    )
    source = "ISO 9241-3: 5 x 7 (width x height) at least for digits and capitals; a standard for "
    source += "displays, taken here as a measure of what is read"
    trips = Example('message example { raster 5 font upright-5 block { line: "12 A" } }')
    passes = Example('message example { raster 7 font upright-7 block { line: "12 A" } }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line of a smaller font."""
        for line, font in subject.lines_to_print:
            columns, rows = matrix(font)
            if columns < MIN_COLUMNS or rows < MIN_ROWS:
                yield self.finding(
                    subject,
                    f"characters of {font.name} are {columns} x {rows} drops",
                    line.font_span,
                    f"use a font of at least {MIN_COLUMNS} x {MIN_ROWS} drops, upright-7 say",
                    measured=rows if rows < MIN_ROWS else columns,
                    limit=MIN_ROWS if rows < MIN_ROWS else MIN_COLUMNS,
                    unit="drops",
                )


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


def matrix(font: Font) -> tuple[int, int]:
    """Columns and rows of a font's capital H and zero, whichever is larger; 0 if it has neither."""
    widths = (font.glyphs[char].width for char in "H0" if char in font.glyphs)
    return max(widths, default=0), font.rows_of("H0")


def characters_mm(rows: int, profile: LineProfile) -> float:
    """How high so many rows of drops stand on the product, from edge to edge."""
    return height_mm(rows, profile.head.row_pitch_mm, profile.product.dot_diameter_mm)


def taller(rows: int, limit_mm: float, profile: LineProfile) -> str:
    """What makes characters of so many rows higher, in words: row pitch and throw."""
    dot, pitch = profile.product.dot_diameter_mm, profile.head.row_pitch_mm
    wanted = (limit_mm - dot) / max(1, rows - 1)
    throw = profile.head.throw_mm * wanted / pitch
    return (
        f"a row pitch of {wanted:.3f} mm: rows spread with the throw, about "
        f"{ceil(throw * 10) / 10:g} mm instead of {profile.head.throw_mm:g} mm"
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

"""The sizes a picture of strokes is drawn with, shared by SVG and PNG."""

from __future__ import annotations

import math
import re

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.layout.model import Strokes

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


class DropGeometry(Struct, frozen=True):
    """Drops on the product. The defaults draw a plain picture; a line profile knows better.

    Attributes:
        stroke_pitch_mm: travel between strokes.
        row_pitch_mm: distance between rows.
        dot_diameter_mm: a printed drop.
        slant_mm: travel from row 0 to the top row of one stroke; positive leans to the right.
        ink: colour of a drop, ``#rrggbb``.
        surface: colour of the product, ``#rrggbb``.
        margin_mm: surface shown around the outermost drops.

    Raises:
        InputError: sizes that are not positive numbers, colours of another form.
    """

    # Assumption, for want of a profile: a code of about 5 mm from 16 rows, dots that all but meet.
    stroke_pitch_mm: float = 0.35
    row_pitch_mm: float = 0.35
    dot_diameter_mm: float = 0.32
    slant_mm: float = 0.0
    ink: str = "#1a1a1a"
    surface: str = "#ffffff"
    margin_mm: float = 1.0

    def __post_init__(self) -> None:
        faults = [
            _fault(name, value, "a positive number of mm")
            for name, value in (
                ("stroke pitch", self.stroke_pitch_mm),
                ("row pitch", self.row_pitch_mm),
                ("dot diameter", self.dot_diameter_mm),
            )
            if not (math.isfinite(value) and value > 0)
        ]
        if not (math.isfinite(self.margin_mm) and self.margin_mm >= 0):
            faults.append(_fault("margin", self.margin_mm, "zero or a positive number of mm"))
        if not math.isfinite(self.slant_mm):
            faults.append(_fault("slant", self.slant_mm, "a number of mm"))
        for name, colour in (("ink", self.ink), ("surface", self.surface)):
            if not _COLOUR.fullmatch(colour):
                faults.append(_fault(f"{name} colour", colour, 'like "#1a2b3c"'))
        if faults:
            raise InputError(faults)

    def size_mm(self, strokes: Strokes) -> tuple[float, float]:
        """Width and height of the whole picture, margins included."""
        edges = self.dot_diameter_mm + 2 * self.margin_mm
        travel = max(0, len(strokes) - 1) * self.stroke_pitch_mm + abs(self.slant_mm)
        return travel + edges, (strokes.raster - 1) * self.row_pitch_mm + edges

    def origin_mm(self, strokes: Strokes) -> tuple[float, float]:
        """Centre of the drop of stroke 0 on row 0, from the upper left corner of the picture."""
        edge = self.margin_mm + self.dot_diameter_mm / 2
        return edge - min(0.0, self.slant_mm), edge + (strokes.raster - 1) * self.row_pitch_mm

    def lean_mm(self, raster: int) -> tuple[float, ...]:
        """Travel of each row's drop behind row 0 of its stroke: slant * row / (raster - 1)."""
        return tuple(self.slant_mm * row / max(1, raster - 1) for row in range(raster))


def _fault(name: str, value: object, wanted: str) -> Diagnostic:
    return Diagnostic("bad-geometry", f"the {name} is {value}, it must be {wanted}")


DEFAULT_PIXELS_PER_MM = 20.0


class Drawing(Struct, frozen=True):
    """How SVG and PNG are drawn; a PNG has no title, an SVG no resolution."""

    geometry: DropGeometry = DropGeometry()
    title: str = ""
    grid: bool = False
    labels: bool = False
    pixels_per_mm: float = DEFAULT_PIXELS_PER_MM

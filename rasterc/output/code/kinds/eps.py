"""Strokes as EPS (Encapsulated PostScript 3.0): round drops at their true size."""

from __future__ import annotations

from rasterc.layout.model import Strokes
from rasterc.output.code.geometry import Drawing
from rasterc.values.model import ResolvedMessage

STARTS = b"%!PS-Adobe-3.0 EPSF-3.0"
DRAWN = False
_POINTS_PER_MM = 72 / 25.4


def render(strokes: Strokes, drawing: Drawing, _: ResolvedMessage | None) -> bytes:
    """See `rasterc.output.code.kinds.Kind`."""
    geometry = drawing.geometry
    width, height = (side * _POINTS_PER_MM for side in geometry.size_mm(strokes))
    lean, (left, top) = geometry.lean_mm(strokes.raster), geometry.origin_mm(strokes)
    low = height / _POINTS_PER_MM - top
    drops = [
        f"{left + x * geometry.stroke_pitch_mm + lean[row]:.3f} "
        f"{low + row * geometry.row_pitch_mm:.3f} {geometry.dot_diameter_mm / 2:.3f} drop"
        for x, column in enumerate(strokes.bits)
        for row in range(strokes.raster)
        if column >> row & 1
    ]
    head = (
        f"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 {-(-width // 1):.0f} {-(-height // 1):.0f}\n"
        f"/drop {{ 0 360 arc fill }} bind def\n{_POINTS_PER_MM:.6f} dup scale\n"
    )
    return (head + "\n".join(drops) + "\nshowpage\n%%EOF\n").encode()

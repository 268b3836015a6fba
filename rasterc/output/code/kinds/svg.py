"""Strokes as SVG: round drops at their true size in mm, in one path."""

from __future__ import annotations

from itertools import pairwise
from xml.sax.saxutils import escape

from rasterc.layout.model import Strokes
from rasterc.output.code.geometry import Drawing, DropGeometry
from rasterc.output.code.labels import (
    LETTER_HEIGHT_MM,
    Label,
    label_place_mm,
    labelled_size_mm,
    picture_labels,
)
from rasterc.values.model import ResolvedMessage

STARTS = b"<svg"
DRAWN = True


def render(strokes: Strokes, drawing: Drawing, _: ResolvedMessage | None) -> bytes:
    """See `rasterc.output.code.kinds.Kind`."""
    text = render_svg(
        strokes, drawing.geometry, title=drawing.title, grid=drawing.grid, labels=drawing.labels
    )
    return text.encode(errors="replace")


def render_svg(
    strokes: Strokes,
    geometry: DropGeometry,
    *,
    title: str = "",
    grid: bool = False,
    labels: bool = False,
) -> str:
    """An SVG 1.1 picture, without scripts, styles or references to anything outside.

    One unit of its coordinates is one micrometre, so that all of them are whole numbers. A drop
    is a line of no length with round ends. ``grid`` marks where drops of no slant would stand,
    ``labels`` writes field names under their strokes.
    """
    placed = picture_labels(strokes, geometry) if labels else ()
    width, height = map(_um, labelled_size_mm(strokes, geometry, placed))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width / 1000}mm" '
        f'height="{height / 1000}mm" viewBox="0 0 {width} {height}">',
        f"<title>{_escaped(title)}</title>" if title else "",
        f'<path fill="{geometry.surface}" d="M0 0H{width}V{height}H0z"/>',
        _grid(strokes, geometry) if grid and len(strokes) else "",
        f'<path stroke="{geometry.ink}" stroke-width="{_um(geometry.dot_diameter_mm)}" '
        f'stroke-linecap="round" d="{_drops(strokes, geometry)}"/>',
        *(_label(label, strokes, geometry) for label in placed),
        "</svg>\n",
    ]
    return "\n".join(part for part in parts if part)


def _drops(strokes: Strokes, geometry: DropGeometry) -> str:
    """The path: each stroke is moved to, then its drops follow by relative moves."""
    lean = [_um(x) for x in geometry.lean_mm(strokes.raster)]
    rise = [_um(row * geometry.row_pitch_mm) for row in range(strokes.raster)]
    origin_x, origin_y = geometry.origin_mm(strokes)
    y = _um(origin_y)
    known: dict[int, str] = {}
    path = []
    for stroke, column in enumerate(strokes.bits):
        if column:
            drops = known.get(column)
            if drops is None:
                drops = known[column] = _column(column, lean, rise)
            x = _um(origin_x + stroke * geometry.stroke_pitch_mm)
            path.append(f"M{x} {y}{drops}")
    return "".join(path)


def _column(column: int, lean: list[int], rise: list[int]) -> str:
    """The drops of a stroke from its place on row 0, in um; rows count up, y counts down."""
    rows = [row for row in range(len(rise)) if column >> row & 1]
    first = rows[0]
    start = f"m{lean[first]} {-rise[first]}h0" if first else "h0"
    return start + "".join(f"m{lean[b] - lean[a]} {rise[a] - rise[b]}h0" for a, b in pairwise(rows))


def _grid(strokes: Strokes, geometry: DropGeometry) -> str:
    """A row of marks is one dashed line of round dots."""
    x, y = geometry.origin_mm(strokes)
    length = (len(strokes) - 0.5) * geometry.stroke_pitch_mm  # half a pitch short of one too many
    lines = "".join(
        f"M{_um(x)} {_um(y - row * geometry.row_pitch_mm)}h{_um(length)}"
        for row in range(strokes.raster)
    )
    mark = _um(geometry.dot_diameter_mm / 4)
    return (
        f'<path fill="none" stroke="{geometry.ink}" stroke-opacity=".3" stroke-width="{mark}" '
        f'stroke-linecap="round" stroke-dasharray="0 {geometry.stroke_pitch_mm * 1000:g}" '
        f'd="{lines}"/>'
    )


def _label(label: Label, strokes: Strokes, geometry: DropGeometry) -> str:
    x, width_mm, y = label_place_mm(label, strokes, geometry)
    bracket = f"M{_um(x)} {_um(y)}v300h{_um(width_mm)}v-300"
    baseline = _um(y + 0.3 + LETTER_HEIGHT_MM)
    return (
        f'<path fill="none" stroke="{geometry.ink}" stroke-width="80" d="{bracket}"/>'
        f'<text x="{_um(x)}" y="{baseline}" font-size="{_um(LETTER_HEIGHT_MM)}" '
        f'font-family="sans-serif" fill="{geometry.ink}">{_escaped(label.name)}</text>'
    )


def _escaped(text: str) -> str:
    """Text for XML, without the control characters XML cannot hold."""
    return escape("".join(c if c.isprintable() or c == " " else "\ufffd" for c in text))


def _um(mm: float) -> int:
    return round(mm * 1000)

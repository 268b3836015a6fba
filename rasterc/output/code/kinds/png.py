"""Strokes as PNG: smooth round drops, by copying drops drawn beforehand."""

from __future__ import annotations

import math
from io import BytesIO
from typing import TYPE_CHECKING

from rasterc.diagnostics import InputError
from rasterc.layout.model import MAX_PICTURE_PIXELS, Strokes
from rasterc.output.code.geometry import DEFAULT_PIXELS_PER_MM, Drawing, DropGeometry
from rasterc.output.code.labels import (
    LETTER_HEIGHT_MM,
    Label,
    label_place_mm,
    labelled_size_mm,
    picture_labels,
)
from rasterc.values.model import ResolvedMessage

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Shades = NDArray[np.uint8]  # 0 is surface, 255 is ink

_GRID_SHADE = 80
_PHASES = 8  # places of a stroke within a pixel
_LARGE = 32  # pixels; of drops with a larger radius a whole pixel is exact enough
_BORDER = 3  # pixels around the picture: images of drops may be larger than the drops
_CHUNK = 1_000_000  # pixels copied at once


STARTS = b"\x89PNG"
DRAWN = True


def render(strokes: Strokes, drawing: Drawing, _: ResolvedMessage | None) -> bytes:
    """See `rasterc.output.code.kinds.Kind`."""
    return render_png(
        strokes,
        drawing.geometry,
        pixels_per_mm=drawing.pixels_per_mm,
        grid=drawing.grid,
        labels=drawing.labels,
    )


def render_png(
    strokes: Strokes,
    geometry: DropGeometry,
    *,
    pixels_per_mm: float = DEFAULT_PIXELS_PER_MM,
    grid: bool = False,
    labels: bool = False,
) -> bytes:
    """A PNG picture whose 256 colours run from the surface's to the ink's.

    Drop centres are true to 1/16 pixel along the travel and exact across it; edges are smoothed
    over one pixel. A drop is drawn at least a pixel wide. ``grid`` and ``labels`` are those of
    `render_svg`.

    Raises:
        InputError: more than `MAX_PICTURE_PIXELS` pixels; names the resolution that would do.
    """
    import numpy as np

    placed = picture_labels(strokes, geometry) if labels else ()
    size = _pixels(*labelled_size_mm(strokes, geometry, placed), pixels_per_mm)
    canvas = np.zeros((size[0] + 2 * _BORDER, size[1] + 2 * _BORDER), dtype=np.uint8)
    shades = canvas[_BORDER:-_BORDER, _BORDER:-_BORDER]
    if grid:
        _draw_grid(shades, strokes, geometry, pixels_per_mm)
    _draw_drops(canvas, strokes, geometry, pixels_per_mm)
    for label in placed:
        _draw_label(shades, label, label_place_mm(label, strokes, geometry), pixels_per_mm)
    return _encoded(shades, geometry, pixels_per_mm)


def _pixels(width_mm: float, height_mm: float, pixels_per_mm: float) -> tuple[int, int]:
    """Height and width in pixels."""
    if not (math.isfinite(pixels_per_mm) and pixels_per_mm > 0):
        raise InputError.one(
            "bad-resolution", f"the resolution is {pixels_per_mm:g} pixels per mm",
            help=f"give a positive number, {DEFAULT_PIXELS_PER_MM:g} say",
        )  # fmt: skip
    height, width = math.ceil(height_mm * pixels_per_mm), math.ceil(width_mm * pixels_per_mm)
    if height * width > MAX_PICTURE_PIXELS:
        fits = math.floor(10 * math.sqrt(MAX_PICTURE_PIXELS / (width_mm * height_mm))) / 10
        while math.ceil(height_mm * fits) * math.ceil(width_mm * fits) > MAX_PICTURE_PIXELS:
            fits = round(fits * 0.99, 3)  # rounding up to whole pixels went over the limit
        raise InputError.one(
            "picture-too-large",
            f"{width_mm:.1f} x {height_mm:.1f} mm at {pixels_per_mm:g} pixels per mm are "
            f"{width} x {height} pixels, at most {MAX_PICTURE_PIXELS:,} are possible",
            help=f"use {fits:g} pixels per mm or fewer, or SVG",
        )
    return height, width


def _draw_drops(canvas: Shades, strokes: Strokes, geometry: DropGeometry, scale: float) -> None:
    """Copy a drop to every printed place, row by row; the darker shade wins where drops overlap."""
    import numpy as np

    origin_x, origin_y = geometry.origin_mm(strokes)
    radius = max(0.5, geometry.dot_diameter_mm / 2 * scale)  # no drop gets lost between pixels
    phases = _PHASES if radius < _LARGE else 1
    travel = origin_x + np.arange(len(strokes)) * geometry.stroke_pitch_mm
    pixel, phase = np.divmod(np.rint(travel * scale * phases).astype(int), phases)
    columns = strokes.columns
    for row, lean in enumerate(geometry.lean_mm(strokes.raster)):
        printed = np.flatnonzero(columns >> np.uint16(row) & np.uint16(1))
        if printed.size:
            x = lean * scale + np.arange(phases) / phases
            top, left, drops = _drop_images(
                x, (origin_y - row * geometry.row_pitch_mm) * scale, radius
            )
            which = phase[printed]
            _copy(canvas, top + _BORDER, pixel[printed] + left[which] + _BORDER, which, drops)


def _draw_grid(shades: Shades, strokes: Strokes, geometry: DropGeometry, scale: float) -> None:
    """Faint marks where drops of no slant would stand, at least a pixel wide."""
    import numpy as np

    x, y = geometry.origin_mm(strokes)
    columns = ((x + np.arange(len(strokes)) * geometry.stroke_pitch_mm) * scale).astype(int)
    rows = ((y - np.arange(strokes.raster) * geometry.row_pitch_mm) * scale).astype(int)
    half = int(geometry.dot_diameter_mm / 8 * scale)
    for down in range(-half, half + 1):
        for right in range(-half, half + 1):
            shades[np.ix_(rows + down, columns + right)] = _GRID_SHADE


def _drop_images(
    x: NDArray[np.float64], y: float, radius: float
) -> tuple[int, NDArray[np.int_], Shades]:
    """Drops centred at each ``x`` and at ``y``: top pixel, left pixels, shades (len(x), k, k).

    A pixel's shade falls from full to none over the pixel at the edge: radius + 1/2 - distance
    of its middle from the centre, between 0 and 1.
    """
    import numpy as np

    left, top = np.floor(x - radius).astype(int), math.floor(y - radius)
    middles = np.arange(math.ceil(2 * radius) + 1) + 0.5
    across, down = (left - x)[:, None, None] + middles, (top - y + middles)[:, None]
    inside = np.clip(radius + 0.5 - np.hypot(across, down), 0, 1)
    return top, left, np.rint(inside * 255).astype(np.uint8)


def _copy(
    shades: Shades, top: int, left: NDArray[np.int_], which: NDArray[np.int_], drops: Shades
) -> None:
    """Lay image ``which`` of ``drops`` at each ``left``, keeping the darker shade."""
    import numpy as np

    width, side = shades.shape[1], np.arange(drops.shape[-1])
    within = ((top + side[:, None]) * width + side).ravel()
    images = drops.reshape(len(drops), -1)
    step = max(1, _CHUNK // within.size)
    for start in range(0, len(left), step):
        part = slice(start, start + step)
        places = left[part, None] + within
        np.maximum.at(shades.reshape(-1), places.ravel(), images[which[part]].ravel())


def _draw_label(
    shades: Shades, label: Label, place_mm: tuple[float, float, float], scale: float
) -> None:
    import numpy as np
    from PIL import Image, ImageDraw, ImageFont

    left, width, top = (round(mm * scale) for mm in place_mm)
    tick = max(1, round(0.3 * scale))
    picture = Image.fromarray(shades)
    draw = ImageDraw.Draw(picture)
    corners = [(left, top), (left, top + tick), (left + width, top + tick), (left + width, top)]
    draw.line(corners, fill=255, width=max(1, round(0.08 * scale)))
    font = ImageFont.load_default(max(4.0, LETTER_HEIGHT_MM * scale))
    draw.text((left, top + tick), label.name, fill=255, font=font)
    shades[:] = np.asarray(picture)


def _encoded(shades: Shades, geometry: DropGeometry, pixels_per_mm: float) -> bytes:
    import numpy as np
    from PIL import Image

    surface, ink = (_rgb(colour) for colour in (geometry.surface, geometry.ink))
    ramp = np.linspace(surface, ink, 256)
    picture = Image.fromarray(shades).convert("P")
    picture.putpalette(np.rint(ramp).astype(np.uint8).tobytes())
    out = BytesIO()
    dots_per_inch = pixels_per_mm * 25.4
    picture.save(out, "PNG", compress_level=4, dpi=(dots_per_inch, dots_per_inch))
    return out.getvalue()


def _rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)

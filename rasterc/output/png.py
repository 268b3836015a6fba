"""Strokes as PNG: smooth round drops, by copying drops drawn beforehand."""

from __future__ import annotations

import math
from io import BytesIO
from typing import TYPE_CHECKING

from rasterc.diagnostics import InputError
from rasterc.layout.model import MAX_PICTURE_PIXELS, Strokes
from rasterc.output.geometry import DropGeometry
from rasterc.output.labels import (
    LETTER_HEIGHT_MM,
    Label,
    label_place_mm,
    labels_height_mm,
    picture_labels,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Shades = NDArray[np.uint8]  # 0 is surface, 255 is ink

DEFAULT_PIXELS_PER_MM = 20.0
_GRID_SHADE = 80
_PHASES = 8  # places of a stroke within a pixel


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
    over one pixel. ``grid`` and ``labels`` are those of `render_svg`.

    Raises:
        InputError: more than `MAX_PICTURE_PIXELS` pixels; names the resolution that would do.
    """
    import numpy as np

    placed = picture_labels(strokes, geometry) if labels else ()
    width_mm, height_mm = geometry.size_mm(strokes)
    size = _pixels(width_mm, height_mm + labels_height_mm(placed), pixels_per_mm)
    shades = np.zeros(size, dtype=np.uint8)
    if grid:
        _draw_grid(shades, strokes, geometry, pixels_per_mm)
    _draw_drops(shades, strokes, geometry, pixels_per_mm)
    for label in placed:
        _draw_label(
            shades, label, label_place_mm(label, strokes, geometry, height_mm), pixels_per_mm
        )
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


def _draw_drops(shades: Shades, strokes: Strokes, geometry: DropGeometry, scale: float) -> None:
    """Copy a drop to every printed place, the darker shade winning where drops overlap."""
    import numpy as np

    where, rows = np.nonzero(strokes.columns[:, None] >> np.arange(strokes.raster) & 1)
    if not where.size:
        return
    origin_x, origin_y = geometry.origin_mm(strokes)
    eighths = np.rint((origin_x + where * geometry.stroke_pitch_mm) * scale * _PHASES).astype(int)
    pixel, phase = np.divmod(eighths, _PHASES)
    lean = np.array(geometry.lean_mm(strokes.raster)) * scale
    rise = np.arange(strokes.raster) * geometry.row_pitch_mm * scale
    x = lean[:, None] + np.arange(_PHASES) / _PHASES  # centres by row and phase
    y = np.broadcast_to((origin_y * scale - rise)[:, None], x.shape)
    left, top, drops = _drop_images(x, y, geometry.dot_diameter_mm / 2 * scale)
    _copy(shades, top[rows, phase], pixel + left[rows, phase], drops[rows, phase])


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
    x: NDArray[np.float64], y: NDArray[np.float64], radius: float
) -> tuple[NDArray[np.int_], NDArray[np.int_], Shades]:
    """Left and top pixel of drops centred at ``x``, ``y``, and their shades (..., k, k).

    A pixel's shade falls from full to none over the pixel at the edge: radius + 1/2 - distance
    of its middle from the centre, between 0 and 1.
    """
    import numpy as np

    left, top = np.floor(x - radius).astype(int), np.floor(y - radius).astype(int)
    middles = np.arange(math.ceil(2 * radius) + 1) + 0.5
    across = (left - x)[..., None, None] + middles
    down = (top - y)[..., None, None] + middles[:, None]
    inside = np.clip(radius + 0.5 - np.hypot(across, down), 0, 1)
    return left, top, np.rint(inside * 255).astype(np.uint8)


def _copy(shades: Shades, top: NDArray[np.int_], left: NDArray[np.int_], drops: Shades) -> None:
    import numpy as np

    height, width = shades.shape
    side = np.arange(drops.shape[-1])
    down, right = top[:, None, None] + side[:, None], left[:, None, None] + side
    # A drop may end exactly on the last pixel; what its image has beyond is empty.
    inside = (down >= 0) & (down < height) & (right >= 0) & (right < width) & (drops > 0)
    np.maximum.at(shades.reshape(-1), (down * width + right)[inside], drops[inside])


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

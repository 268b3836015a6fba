"""Pictures of landed drops, with the places where they belong under them: SVG and PNG."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

from rasterc.diagnostics import InputError
from rasterc.layout.model import MAX_PICTURE_PIXELS

if TYPE_CHECKING:
    from PIL import ImageDraw

    from rasterc.head.arrays import Bools, Floats
    from rasterc.sweep.case import Flown
    from rasterc.sweep.model import Job

MARGIN_MM = 0.6
TITLE_MM = 1.5
LETTER_MM = 0.9
_LETTER_WIDTH_MM = 0.5  # room for a letter; most are narrower
OFF_COLOUR = "#c4301f"  # of drops nearer to another place than to their own
TOUCH_COLOUR = "#c77f1a"  # of drops that touched another in flight
GRID_COLOUR = "#8a8f98"
LEGEND = (
    "rings: wanted places; bar: 1 mm",
    "red: half a pitch off or more; amber: touched another drop in flight",
)
LEGEND_MM = 2.2
SMALL_MM = 0.75
_BAR_MM = 13.0  # from the left to the bar, behind the first line
PIXELS_PER_MM = 24.0
_FINER = 2  # a PNG is drawn so many times larger, then made smaller: smooth edges
_FRAMES_PIXELS = MAX_PICTURE_PIXELS // _FINER**2


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """Landed drops of one flight; x along the travel, y upwards, in mm.

    ``off`` tells the drops that are half a pitch or more from their place, ``touching`` those that
    touched another in flight. Drops that land far outside are not drawn; ``title`` says how many.
    """

    title: str
    x_mm: Floats
    y_mm: Floats
    off: Bools
    touching: Bools
    grid_x_mm: Floats
    grid_y_mm: Floats
    dot_mm: float
    ink: str
    surface: str

    @property
    def colours(self) -> Iterator[tuple[str, Bools]]:
        """Each colour of dots, and which drops have it; later ones lie above."""
        yield self.ink, ~self.off & ~self.touching
        yield TOUCH_COLOUR, self.touching & ~self.off
        yield OFF_COLOUR, self.off


def landed_panel(title: str, job: Job, flown: Flown) -> Panel:
    """The picture of a flight.

    The dots have the size a drop in flight spreads to. The grid is that of the wanted rows and of
    the strokes as thrown; it starts where the drops land on the whole, as all of them are a little
    later than an undeflected stream.
    """
    import numpy as np

    from rasterc.head.spread import dot_ratio
    from rasterc.sweep.case import fit_grid, pitches_off
    from rasterc.sweep.judge import MOST_PITCHES

    landings, plan, flight = flown.landings, flown.plan, job.profile.flight
    assert flight is not None
    dot_mm = (dot_ratio(flight) or 1.0) * job.profile.head.drop_diameter_um / 1000
    wanted_x = plan.ideal_travel_mm(landings.stroke, landings.row)
    late = (landings.x_mm - wanted_x)[np.isfinite(landings.x_mm)]
    grid_x = np.asarray(wanted_x + (np.median(late) if len(late) else 0.0), dtype=np.float64)
    rows_mm = landings.row * job.profile.head.row_pitch_mm
    grid_y = np.asarray(flight.lowest_row_mm + rows_mm, dtype=np.float64)
    fit = fit_grid(landings, plan, job.profile.head.row_pitch_mm)
    missed = pitches_off(job.profile, fit) if fit else np.zeros(len(landings))
    off = missed >= MOST_PITCHES
    near = _near(landings.x_mm, grid_x) & _near(landings.y_mm, grid_y)
    hidden = int((~near).sum())
    return Panel(
        title + (f" ({hidden} drops astray)" if hidden else ""),
        landings.x_mm[near],
        landings.y_mm[near],
        off[near],
        (landings.separation < 1)[near],
        grid_x,
        grid_y,
        dot_mm,
        job.profile.product.ink,
        job.profile.product.surface,
    )


def _near(values: Floats, grid: Floats) -> Bools:
    """Whether a drop lies within the grid, or beyond it by no more than its size."""
    import numpy as np

    if not len(grid):
        return np.zeros(0, dtype=bool)
    room = max(1.0, min(4.0, float(np.ptp(grid))))
    near: Bools = (values > grid.min() - room) & (values < grid.max() + room)
    return near  # nan compares false


@dataclass(frozen=True, slots=True)
class _Frame:
    """A panel's place on the sheet: its left, top, width and height, and the y of its bottom."""

    panel: Panel
    left: float
    top: float
    width: float
    height: float
    x0: float
    y0: float

    def place(self, x_mm: Floats, y_mm: Floats) -> Iterator[tuple[float, float]]:
        """Places on the sheet, y downwards."""
        edge = MARGIN_MM + self.panel.dot_mm / 2
        bottom = self.top + self.height - edge
        for x, y in zip(x_mm.tolist(), y_mm.tolist(), strict=True):
            yield self.left + edge + x - self.x0, bottom - (y - self.y0)


def _frames(panels: Sequence[Panel], columns: int) -> tuple[list[_Frame], float, float]:
    """All panels at one scale, in rows of so many columns; and the size of the sheet."""
    import numpy as np

    if not panels:
        raise InputError.one("nothing-to-draw", "no flight to draw", help="fly a message")
    boxes = []
    for panel in panels:
        xs = np.concatenate((panel.x_mm, panel.grid_x_mm, np.zeros(1)))
        ys = np.concatenate((panel.y_mm, panel.grid_y_mm))
        ys = ys if len(ys) else np.zeros(1)
        boxes.append((xs.min(), ys.min(), np.ptp(xs), np.ptp(ys)))
    edge = [2 * MARGIN_MM + panel.dot_mm for panel in panels]
    named = max(len(panel.title) for panel in panels) * _LETTER_WIDTH_MM
    told = max(map(len, LEGEND)) * _LETTER_WIDTH_MM * SMALL_MM / LETTER_MM
    titled = max(named, told) + 2 * MARGIN_MM
    width = max(titled, *(float(b[2]) + e for b, e in zip(boxes, edge, strict=True)))
    height = max(float(b[3]) + e for b, e in zip(boxes, edge, strict=True)) + TITLE_MM
    frames = [
        _Frame(
            p, k % columns * width, k // columns * height, width, height, float(b[0]), float(b[1])
        )
        for k, (p, b) in enumerate(zip(panels, boxes, strict=True))
    ]
    across, down = min(columns, len(panels)), math.ceil(len(panels) / columns)
    return frames, across * width, down * height + LEGEND_MM


def render_landings_svg(panels: Sequence[Panel], columns: int = 1) -> str:
    """An SVG 1.1 picture in mm, panels in rows of ``columns``; no scripts, nothing from outside."""
    frames, width, height = _frames(panels, columns)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm" height="{height:.3f}mm" '
        f'viewBox="0 0 {width:.3f} {height:.3f}">',
        f"<title>{_escaped(panels[0].title)}</title>",
        *(_svg_panel(frame) for frame in frames),
        *_svg_legend(height - LEGEND_MM, panels[0]),
        "</svg>\n",
    ]
    return "\n".join(parts)


def _svg_panel(frame: _Frame) -> str:
    panel = frame.panel
    dot = panel.dot_mm
    ring = f'fill="none" stroke="{GRID_COLOUR}" stroke-width="0.03"'
    wanted = "".join(
        f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{dot / 2:.3f}"/>'
        for x, y in frame.place(panel.grid_x_mm, panel.grid_y_mm)
    )
    return "\n".join(
        [
            f'<rect x="{frame.left:.3f}" y="{frame.top:.3f}" width="{frame.width:.3f}" '
            f'height="{frame.height:.3f}" fill="{panel.surface}"/>',
            *(_svg_dots(frame, panel.x_mm[k], panel.y_mm[k], c) for c, k in panel.colours),
            f"<g {ring}>{wanted}</g>",
            f'<text x="{frame.left + MARGIN_MM:.3f}" y="{frame.top + TITLE_MM - 0.5:.3f}" '
            f'font-size="{LETTER_MM}" font-family="sans-serif" fill="{panel.ink}">'
            f"{_escaped(panel.title)}</text>",
        ]
    )


def _svg_legend(top: float, panel: Panel) -> Iterator[str]:
    """What colours mean, and how long a millimetre is."""
    for k, line in enumerate(LEGEND):
        yield (
            f'<text x="{MARGIN_MM}" y="{top + (k + 1) * SMALL_MM * 1.25:.3f}" '
            f'font-size="{SMALL_MM}" font-family="sans-serif" fill="#555555">{line}</text>'
        )
    bar = _BAR_MM + MARGIN_MM
    yield (
        f'<line x1="{bar}" x2="{bar + 1}" y1="{top + SMALL_MM:.3f}" y2="{top + SMALL_MM:.3f}" '
        f'stroke="{panel.ink}" stroke-width="0.12"/>'
    )


def _svg_dots(frame: _Frame, x_mm: Floats, y_mm: Floats, colour: str) -> str:
    path = "".join(f"M{x:.3f} {y:.3f}h0" for x, y in frame.place(x_mm, y_mm))
    return (
        f'<path stroke="{colour}" stroke-opacity="0.85" stroke-width="{frame.panel.dot_mm:.3f}" '
        f'stroke-linecap="round" fill="none" d="{path}"/>'
    )


def _escaped(text: str) -> str:
    return escape("".join(c if c.isprintable() else "\ufffd" for c in text))


def render_landings_png(
    panels: Sequence[Panel], columns: int = 1, pixels_per_mm: float = PIXELS_PER_MM
) -> bytes:
    """The same as PNG, at a coarser scale where it would be larger than the pixel limit."""
    from PIL import Image, ImageDraw

    frames, width, height = _frames(panels, columns)
    scale = min(pixels_per_mm, math.sqrt(_FRAMES_PIXELS / (width * height)))
    size = max(1, int(width * scale)), max(1, int(height * scale))
    fine = scale * _FINER
    picture = Image.new("RGB", (size[0] * _FINER, size[1] * _FINER), panels[0].surface)
    draw = ImageDraw.Draw(picture)
    for frame in frames:
        _draw_panel(draw, frame, fine)
    _draw_legend(draw, height - LEGEND_MM, fine, panels[0])
    out = BytesIO()
    picture.resize(size, Image.Resampling.BOX).save(out, "PNG", dpi=(scale * 25.4, scale * 25.4))
    return out.getvalue()


def _draw_panel(draw: ImageDraw.ImageDraw, frame: _Frame, scale: float) -> None:
    from PIL import ImageFont

    panel = frame.panel
    corners = (frame.left, frame.top, frame.left + frame.width, frame.top + frame.height)
    draw.rectangle([corner * scale for corner in corners], fill=panel.surface)
    line = max(1, round(0.03 * scale))
    for colour, which in panel.colours:
        for box in _boxes(frame, panel.x_mm[which], panel.y_mm[which], scale):
            draw.ellipse(box, colour)
    for box in _boxes(frame, panel.grid_x_mm, panel.grid_y_mm, scale):
        draw.ellipse(box, outline=GRID_COLOUR, width=line)
    font = ImageFont.load_default(max(6.0, LETTER_MM * scale))
    place = (frame.left + MARGIN_MM) * scale, (frame.top + 0.3) * scale
    draw.text(place, panel.title, fill=panel.ink, font=font)


def _draw_legend(draw: ImageDraw.ImageDraw, top: float, scale: float, panel: Panel) -> None:
    from PIL import ImageFont

    font = ImageFont.load_default(max(6.0, SMALL_MM * scale))
    for k, line in enumerate(LEGEND):
        place = MARGIN_MM * scale, (top + (k + 0.25) * SMALL_MM * 1.25) * scale
        draw.text(place, line, fill="#555555", font=font)
    bar, y = (MARGIN_MM + _BAR_MM) * scale, (top + SMALL_MM) * scale
    draw.line((bar, y, bar + scale, y), fill=panel.ink, width=max(1, round(0.12 * scale)))


def _boxes(
    frame: _Frame, x_mm: Floats, y_mm: Floats, scale: float
) -> Iterator[tuple[float, float, float, float]]:
    """The pixels each dot fills: left, top, right and bottom."""
    radius = frame.panel.dot_mm / 2 * scale
    for x, y in frame.place(x_mm, y_mm):
        yield x * scale - radius, y * scale - radius, x * scale + radius, y * scale + radius

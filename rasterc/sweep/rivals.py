"""Firing orders of one raster, and rasters of one text height, to be compared."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import structs

from rasterc.head.plan import firing_order
from rasterc.profile.model import LineProfile, RasterTiming
from rasterc.sweep.model import Case, Job

TEXT_ROWS = (7, 9)


def firing_orders(raster: RasterTiming) -> Mapping[str, tuple[int, ...]]:
    """Firing orders by name; that of the raster itself is among them.

    >>> firing_orders(RasterTiming(drops=5))["every second row"]
    (0, 2, 4, 1, 3)
    """
    rows = tuple(range(raster.drops))
    inward = tuple(row for pair in zip(rows, reversed(rows), strict=True) for row in pair)
    return {
        "low row first": rows,
        "high row first": rows[::-1],
        "every second row": rows[::2] + rows[1::2],
        "outside in": inward[: raster.drops],
    }


def firing_cases(job: Job) -> dict[str, Case]:
    """The usual speed and throw in each firing order."""
    usual = job.usual()
    return {
        name: structs.replace(usual, order=order)
        for name, order in firing_orders(job.raster).items()
    }


def own_order(job: Job) -> str:
    """The name of the raster's own firing order."""
    own = firing_order(job.raster)
    return next(name for name, order in firing_orders(job.raster).items() if order == own)


def same_height(profile: LineProfile, base: RasterTiming, rows: int) -> LineProfile:
    """The profile with its pitches changed so that ``rows`` drops stand as high as seven.

    Rows and strokes come closer by the same part, so that characters keep their shape. A raster
    the profile does not have is thrown with the guard drops and the gap of ``base``.
    """
    part = (TEXT_ROWS[0] - 1) / (rows - 1)
    raster = profile.raster(rows) or structs.replace(base, drops=rows)
    return structs.replace(
        profile,
        head=structs.replace(profile.head, row_pitch_mm=profile.head.row_pitch_mm * part),
        line=structs.replace(profile.line, stroke_pitch_mm=profile.line.stroke_pitch_mm * part),
        rasters=[raster],
    )

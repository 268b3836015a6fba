"""Firing orders of one raster, rasters at one height of text, and charges as a line runs up."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import structs

from rasterc.head.plan import firing_order
from rasterc.head.timing import max_speed_m_s, stroke_rate_limit_hz
from rasterc.profile.model import LineProfile, RasterTiming
from rasterc.sweep.model import Case, Charges, Job

RUN_UP_CHARGES = (Charges.FIXED, Charges.ALONE, Charges.SOLVED)
RUN_UP = (0.25, 0.5, 0.75, 1.0)  # of the fastest speed that a raster follows


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


def fastest_m_s(profile: LineProfile, raster: RasterTiming) -> float:
    """The line speed up to which a raster follows."""
    limit = stroke_rate_limit_hz(raster, profile.head.drop_frequency_hz)
    return max_speed_m_s(limit, profile.line.stroke_pitch_mm)


def run_up_cases(job: Job) -> list[Case]:
    """The line running up to the fastest the raster follows, with charges made three ways.

    Kept from the usual speed, each drop as if alone, and solved for each speed.
    """
    fastest = fastest_m_s(job.profile, job.raster)
    speeds = sorted({float(f"{part * fastest:.3g}") for part in RUN_UP} | {job.speed_m_s})
    return [Case(speed, job.throw_mm, kind) for kind in RUN_UP_CHARGES for speed in speeds]


def at_height(profile: LineProfile, raster: RasterTiming, rows: int, base_rows: int) -> LineProfile:
    """The profile with its pitches changed so that ``rows`` drops stand as high as ``base_rows``.

    Rows and strokes come closer, or move apart, by the same part, so that characters keep their
    shape.
    """
    part = (base_rows - 1) / (rows - 1)
    return structs.replace(
        profile,
        head=structs.replace(profile.head, row_pitch_mm=profile.head.row_pitch_mm * part),
        line=structs.replace(profile.line, stroke_pitch_mm=profile.line.stroke_pitch_mm * part),
        rasters=[raster],
    )

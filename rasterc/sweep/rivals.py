"""Firing orders of one raster, rasters at one height of text, and charges as a line runs up."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor, log10

from msgspec import structs

from rasterc.head.plan import firing_order
from rasterc.head.timing import max_speed_m_s, stroke_rate_limit_hz
from rasterc.profile.model import LineProfile, RasterTiming
from rasterc.sweep.model import Case, Charges, Job

RUN_UP_CHARGES = (Charges.FIXED, Charges.FOLLOWED, Charges.SOLVED)
RUN_UP = (0.125, 0.25, 0.5, 0.75, 1.0)  # of the fastest speed that a raster follows


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

    Kept from the usual speed; followed in steps, so that those of the speed before are still on;
    and solved for each speed.
    """
    fastest = fastest_m_s(job.profile, job.raster)
    speeds = sorted({_three_digits(part * fastest) for part in RUN_UP} | {job.speed_m_s})
    before = dict(zip(speeds[1:], speeds, strict=False)) | {speeds[0]: speeds[0]}
    return [
        Case(v, job.throw_mm, kind, solved_at_m_s=before[v] if kind is Charges.FOLLOWED else None)
        for kind in RUN_UP_CHARGES
        for v in speeds
    ]


def _three_digits(speed_m_s: float) -> float:
    """A speed to three digits that is not beyond it."""
    scale: float = 10.0 ** (2 - floor(log10(speed_m_s)))
    return floor(speed_m_s * scale + 1e-6) / scale


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

"""How well a raster keeps its shape as throw, line speed and wake change.

A raster flown to another throw grows or shrinks as a whole; what spoils reading is rows that are
no longer evenly spaced, and drops that lag along the travel. Both are measured apart from size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.head.arrays import Floats, Ints
from rasterc.head.model import USUAL_WAKE, head_model
from rasterc.head.plan import plan_strokes
from rasterc.head.table import Landings, fly_strokes, solve_strokes
from rasterc.profile.model import LineProfile, RasterTiming


@dataclass(frozen=True, slots=True)
class RowFit:
    """The evenly spaced rows nearest to landed drops (least squares).

    ``uneven_mm`` is the largest distance of a drop from those rows, ``lag_mm`` the distance along
    the travel between the earliest and the latest drop, by their places.
    """

    lowest_mm: float
    row_pitch_mm: float
    uneven_mm: float
    lag_mm: float


def fit_rows(landings: Landings) -> RowFit:
    """Fit evenly spaced rows to landings; nan where a drop does not land or rows are too few."""
    rows, y_mm = landings.row, landings.y_mm
    if len(np.unique(rows)) < 2 or not np.isfinite(y_mm).all():
        return RowFit(np.nan, np.nan, np.nan, np.nan)
    pitch, lowest = np.polyfit(rows, y_mm, 1)
    uneven = np.abs(y_mm - (lowest + pitch * rows)).max()
    return RowFit(float(lowest), float(pitch), float(uneven), landings.spread_x_mm)


@dataclass(frozen=True, slots=True, eq=False)
class PlacementMap:
    """Placement by line speed and throw; the arrays have shape (speeds, throws).

    Voltages are solved for each speed at the profile's own throw, and not changed for the others.
    """

    speeds_m_s: tuple[float, ...]
    throws_mm: tuple[float, ...]
    uneven_mm: Floats
    lag_mm: Floats
    row_pitch_mm: Floats


def placement_map(
    profile: LineProfile,
    raster: RasterTiming,
    columns: Sequence[int] | Ints,
    throws_mm: Sequence[float],
    speeds_m_s: Sequence[float] | None = None,
    *,
    order: Sequence[int] | None = None,
    wake: float = USUAL_WAKE,
    true_wake: float | None = None,
) -> PlacementMap:
    """Fly a message at several line speeds and throws.

    Args:
        profile: the line profile, with its flight.
        raster: how strokes are thrown.
        columns: one whole number per stroke.
        throws_mm: throws to look at.
        speeds_m_s: line speeds to look at; the profile's when None.
        order: another firing order than the raster's, to compare them.
        wake: strength of the wake the voltages are solved for.
        true_wake: strength it is flown with; the same when None. The difference between the two
            shows what not knowing the wake may cost.

    Raises:
        InputError: like `head_model` and `plan_strokes`.
    """
    head = head_model(profile)
    speeds = tuple(profile.line.speeds_m_s if speeds_m_s is None else speeds_m_s)
    fits = []
    for speed in speeds:
        plan = plan_strokes(profile, raster, columns, speed, order)
        charges = solve_strokes(head, plan, wake=wake).charges_c
        flown_wake = wake if true_wake is None else true_wake
        fits += [
            fit_rows(fly_strokes(head, plan, charges, wake=flown_wake, throw_mm=throw))
            for throw in throws_mm
        ]
    figures = np.array([(f.uneven_mm, f.lag_mm, f.row_pitch_mm) for f in fits])
    uneven, lag, pitch = figures.reshape(len(speeds), len(throws_mm), 3).transpose(2, 0, 1)
    return PlacementMap(speeds, tuple(throws_mm), uneven, lag, pitch)

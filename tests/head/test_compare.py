"""Throws, speeds, wakes and firing orders compared."""

import numpy as np
import pytest

from rasterc.diagnostics import InputError
from rasterc.head.compare import fit_rows, placement_map
from rasterc.head.plan import plan_strokes
from rasterc.head.table import solve_strokes

FULL = [0b1111111] * 3


@pytest.fixture(scope="module")
def raster(profiles):
    return profiles[40].raster(7)


def test_the_map_is_best_at_the_throw_it_was_solved_for(profiles, raster):
    found = placement_map(profiles[40], raster, FULL, (6, 10, 16), (1.3,))
    assert found.uneven_mm.shape == (1, 3)
    uneven = found.uneven_mm[0]
    assert uneven[1] < 0.005 < min(uneven[0], uneven[2])
    # geometry: drops fan out from the plates, so rows move apart with throw, evenly
    per_mm = np.diff(found.row_pitch_mm[0]) / (4, 6)
    assert per_mm[0] == pytest.approx(per_mm[1], rel=0.25)
    assert found.row_pitch_mm[0, 1] == pytest.approx(0.25, rel=0.01)


def test_an_unknown_wake_costs_placement(profiles, raster):
    known = placement_map(profiles[40], raster, FULL, (10,), (1.3,))
    unknown = placement_map(profiles[40], raster, FULL, (10,), (1.3,), true_wake=0.5)
    assert unknown.uneven_mm[0, 0] > 2 * known.uneven_mm[0, 0]


def test_firing_orders_differ(profiles, raster):
    lags = [
        placement_map(profiles[40], raster, FULL, (10,), (1.3,), order=order).lag_mm[0, 0]
        for order in (None, (0, 1, 2, 3, 4, 5, 6))
    ]
    assert lags[0] < lags[1]


def test_rows_are_fitted_by_least_squares(profiles, heads, raster):
    # peer: numpy.linalg.lstsq on the normal design matrix
    plan = plan_strokes(profiles[40], raster, [0b1010101, 0b1000001], 1.3)
    landings = solve_strokes(heads[40], plan).landings
    design = np.column_stack((np.ones(len(landings)), landings.row))
    lowest, pitch = np.linalg.lstsq(design, landings.y_mm)[0]
    fit = fit_rows(landings)
    assert (fit.lowest_mm, fit.row_pitch_mm) == pytest.approx((lowest, pitch))


def test_a_single_row_has_no_pitch(profiles, raster):
    found = placement_map(profiles[40], raster, [1, 1], (10,), (1.3,))
    assert np.isnan(found.row_pitch_mm[0, 0])


def test_bad_speeds_are_said(profiles, raster):
    with pytest.raises(InputError):
        placement_map(profiles[40], raster, FULL, (10,), (-1,))

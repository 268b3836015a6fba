"""Judging, grids and windows, drift and rivals."""

from itertools import pairwise

import numpy as np
import pytest
from msgspec import structs

from rasterc.checks.rules.line.slant import Slant
from rasterc.diagnostics import InputError
from rasterc.profile.model import RasterTiming
from rasterc.sweep.drift import Spread, drift_cases, range_of
from rasterc.sweep.grid import Grid, grid_of, ladder, window
from rasterc.sweep.judge import (
    MOST_SLANT_DEG,
    Failure,
    Verdict,
    band_failures,
    failures,
    in_words,
    verdict,
)
from rasterc.sweep.model import Case, Charges
from rasterc.sweep.rivals import (
    fastest_m_s,
    firing_cases,
    firing_orders,
    own_order,
    run_up_cases,
)


def test_good_figures_fail_nothing(job, good):
    assert failures(job, good) == ()
    assert failures(job, structs.replace(good, slant_deg=-MOST_SLANT_DEG)) == ()


@pytest.mark.parametrize(
    ("change", "failure", "said"),
    [
        ({"lost": 2, "worst_pitches": None}, Failure.LOST, "2 drops"),
        ({"charge": 1.2}, Failure.CHARGE, "120 %"),
        ({"most_v": 320.0}, Failure.VOLTS, "320 V"),
        ({"least_v": -3.0}, Failure.VOLTS, "-3 to"),
        ({"merged": 3}, Failure.MERGE, "throw 3 guard drops"),
        ({"worst_pitches": 0.5}, Failure.PLACEMENT, "0.50 pitches"),
        ({"height_mm": None}, Failure.HEIGHT, "not to be told"),
        ({"row_pitch_mm": 0.14}, Failure.GAPS, "0.14 mm apart"),  # half a dot of 0.3 mm is 0.15
        ({"slant_deg": 45.0}, Failure.SLANT, "slow to 0.47 m/s"),  # 1.3 tan 20 / tan 45
        # a tilted head keeps its row pitch: sin(tilt) = lean / height, cos(tilt) of the height
        ({"slant_deg": 27.2}, Failure.SLANT, "31 degrees, which costs 14 %"),
        ({"slant_deg": 50.0}, Failure.SLANT, "no tilt"),
        ({"slant_deg": -45.0}, Failure.SLANT, "45 degrees"),
        ({"slant_deg": 90.0}, Failure.SLANT, "90 degrees"),
        ({"slant_deg": None}, Failure.SLANT, "no stroke"),
        # 92000 / (12 + 1 + 2) strokes per second x 0.26 mm = 1.59 m/s
        ({"stroke_pitch_mm": 0.52}, Failure.RATE, "2.0 times its length"),
        ({"stroke_pitch_mm": 0.52}, Failure.RATE, "1.59 m/s"),
    ],
)
def test_each_failure_is_said_with_its_number(job, good, change, failure, said):
    figures = structs.replace(good, **change)
    assert failures(job, figures) == (failure,)
    assert said in in_words(job, Case(1.3, 10.0), figures, failure)


def test_fixed_and_solved_charges_are_judged_alike(job, good):
    # what the search for charges left is said, but judged by where the drops land
    assert failures(job, structs.replace(good, residual_mm=0.03)) == ()
    assert failures(job, structs.replace(good, residual_mm=None)) == ()


def test_a_code_that_is_even_but_off_its_rows_fails(job, good):
    # two rows are always even: half a pitch from the rows they were solved for is what tells
    pitch = job.profile.head.row_pitch_mm
    assert failures(job, structs.replace(good, residual_mm=0.49 * pitch)) == ()
    assert failures(job, structs.replace(good, residual_mm=0.5 * pitch)) == (Failure.PLACEMENT,)


def test_one_verdict_over_the_band(job, good, band_of_figures):
    bad = structs.replace(good, merged=1)
    assert verdict(job, band_of_figures(good)) is Verdict.HOLDS
    assert verdict(job, band_of_figures(good, good, bad)) is Verdict.DEPENDS
    assert verdict(job, band_of_figures(bad)) is Verdict.FAILS
    mixed = band_of_figures(good, structs.replace(good, charge=2.0), bad)
    assert band_failures(job, mixed) == (Failure.CHARGE, Failure.MERGE)


def test_height_is_held_against_the_profile(job, good):
    product = structs.replace(job.profile.product, min_character_height_mm=1.31)
    asking = structs.replace(job, profile=structs.replace(job.profile, product=product))
    assert failures(asking, good) == (Failure.HEIGHT,)
    assert "1.31 mm asked for" in in_words(asking, Case(1, 10), good, Failure.HEIGHT)


def test_slant_is_judged_as_by_check():
    assert Slant.limit_degrees == MOST_SLANT_DEG


def test_the_window_is_the_largest_readable_box_around_the_usual_point(job, good, band_of_figures):
    grid = Grid((0.5, 0.85, 2.0), (8.0, 10.0, 12.0))
    bad = band_of_figures(good, structs.replace(good, merged=1))  # under strong wakes
    good = band_of_figures(good)
    broken = {(2.0, 12.0), (0.5, 8.0), (0.5, 10.0), (0.5, 12.0)}
    found = {
        case: bad if (case.speed_m_s, case.throw_mm) in broken else good for case in grid.cases()
    }
    box = window(job, grid, found, Charges.SOLVED)
    assert (box.slowest_m_s, box.fastest_m_s) == (0.85, 2.0)
    assert (box.nearest_mm, box.furthest_mm, box.points) == (8.0, 10.0, 4)
    found[Case(0.85, 10.0, Charges.SOLVED)] = bad
    assert window(job, grid, found, Charges.SOLVED).points == 0
    assert window(job, grid, found, Charges.FIXED).points == 4


def test_the_usual_point_is_on_every_grid(job):
    assert grid_of(job, [2, 0.5], [12]) == Grid((0.5, 0.85, 2.0), (10.0, 12.0))
    usual = grid_of(job)
    assert set(job.profile.line.speeds_m_s) <= set(usual.speeds_m_s)
    assert 10.0 in usual.throws_mm
    assert len(usual.cases()) == 2 * len(usual.speeds_m_s) * len(usual.throws_mm)


def test_all_that_is_wrong_with_a_grid_is_said(job):
    with pytest.raises(InputError) as caught:
        grid_of(job, [-1, 40], [0])
    assert [d.code for d in caught.value.diagnostics] == ["bad-speed", "bad-speed", "bad-throw"]
    with pytest.raises(InputError, match="at most"):
        grid_of(job, np.linspace(1, 2, 101).tolist(), np.linspace(5, 15, 101).tolist())


# 5 and 18 m/s: common practice, no source
@pytest.mark.parametrize(("wanted", "fastest"), [(5, 5), (18, 18), (None, 1.7)])
def test_a_climb_ends_at_the_speed_asked_for_or_at_twice_the_fastest(job, wanted, fastest):
    speeds = ladder(job, wanted)
    assert speeds[-1] == fastest
    assert set(job.profile.line.speeds_m_s) <= set(speeds)
    assert all(slow < fast <= slow * 1.7 for slow, fast in pairwise(speeds))


@pytest.mark.parametrize("wanted", [0.1, -1, 31, float("nan")])
def test_a_climb_to_nowhere_is_refused(job, wanted):
    with pytest.raises(InputError, match="no climb"):
        ladder(job, wanted)


def test_a_jet_depends_on_its_seed_and_number_only(job):
    few, many = drift_cases(job, 3, seed=7), drift_cases(job, 5, seed=7)
    assert many[:3] == few
    assert drift_cases(job, 3, seed=8) != few
    assert {case.encoder_phase for case in many} == {0.0}
    assert len(set(many)) == 5


def test_codes_begin_anywhere_in_a_step_of_the_encoder(job):
    line = structs.replace(job.profile.line, encoder_step_mm=0.05)
    profile = structs.replace(job.profile, line=line)
    stepped = drift_cases(structs.replace(job, profile=profile), 40, seed=7)
    phases = [case.encoder_phase for case in stepped]
    assert 0 <= min(phases) < 0.2 < 0.8 < max(phases) < 1
    # the jets are those that drift without an encoder
    assert [case.jet for case in stepped] == [case.jet for case in drift_cases(job, 40, seed=7)]


def test_jets_scatter_as_stated(job):
    spread = Spread(0.01, 0.02, 0.1)
    jets = [case.jet for case in drift_cases(job, 2000, 1, spread)]
    for name in ("speed", "mass", "viscosity"):
        drawn, sigma = np.array([getattr(jet, name) for jet in jets]), getattr(spread, name)
        assert drawn.mean() == pytest.approx(1, abs=4 * sigma / np.sqrt(2000))
        assert drawn.std() == pytest.approx(sigma, rel=0.08)
        assert np.abs(drawn - 1).max() <= 3 * sigma * (1 + 1e-9)


@pytest.mark.parametrize("samples", [0, -1, 10_001])
def test_a_number_of_jets_that_makes_no_sense(job, samples):
    with pytest.raises(InputError):
        drift_cases(job, samples, 1)


def test_ranges_leave_out_what_is_not_known(good):
    several = [structs.replace(good, height_mm=h) for h in (1.0, 3.0, None, 2.0)]
    found = range_of(several, "height_mm")
    assert (found.least, found.middle, found.largest) == (1.0, 2.0, 3.0)
    assert range_of([structs.replace(good, near=None)], "near") is None


@pytest.mark.parametrize("drops", [5, 7, 16])
def test_firing_orders_throw_every_row_once(drops):
    for order in firing_orders(RasterTiming(drops=drops)).values():
        assert sorted(order) == list(range(drops))


def test_the_rasters_own_order_is_among_them(job):
    assert own_order(job) == "low row first"
    assert len(set(firing_cases(job).values())) == 4


def test_a_line_runs_up_to_what_its_raster_follows(job):
    cases = run_up_cases(job)
    speeds = {case.speed_m_s for case in cases}
    assert max(speeds) <= fastest_m_s(job.profile, job.raster)
    assert job.speed_m_s in speeds
    assert {case.charges for case in cases} == {Charges.FIXED, Charges.FOLLOWED, Charges.SOLVED}
    followed = [case for case in cases if case.charges is Charges.FOLLOWED]
    # each with the charges of the speed before it on the way up
    assert [case.solved_at_m_s for case in followed[1:]] == [c.speed_m_s for c in followed[:-1]]


def test_the_good_band_is_of_the_profiles_wakes(job, good, band_of_figures):
    assert band_of_figures(good).wakes == job.wakes

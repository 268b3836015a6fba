"""One case flown and measured."""

from math import sqrt

import numpy as np
import pytest
from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.head.model import head_model
from rasterc.sweep.case import (
    band_of,
    fit_grid,
    fly_case,
    measure,
    measured,
    worst_of,
)
from rasterc.sweep.model import Case, Charges, JetChange


@pytest.fixture(scope="module")
def solved(job):
    return fly_case(job, job.usual())


def test_solved_charges_place_the_drops_and_uncorrected_ones_do_not(job, solved):
    corrected = measured(job, solved).worst
    uncorrected = band_of(job, job.usual(Charges.ALONE)).worst
    assert corrected.worst_pitches < 0.2
    assert uncorrected.worst_pitches > 2 * corrected.worst_pitches
    assert uncorrected.dy_mm > 10 * corrected.dy_mm
    assert corrected.row_pitch_mm == pytest.approx(0.26, abs=0.005)
    assert corrected.height_mm == pytest.approx(4 * 0.26 + 0.3, abs=0.02)
    assert corrected.lowest_mm == pytest.approx(1.2, abs=0.01)
    assert (corrected.lost, corrected.merged) == (0, 0)


def test_the_grid_is_the_nearest_by_least_squares(job, solved):
    # peer: numpy.linalg.lstsq on the design matrix of a straight line
    flown = solved[1]
    landings, plan = flown.landings, flown.plan
    fit = fit_grid(landings, plan, 0.26)
    design = np.column_stack((np.ones(len(landings)), landings.row))
    upright = landings.x_mm - landings.stroke * plan.stroke_pitch_mm
    lowest, pitch = np.linalg.lstsq(design, landings.y_mm)[0]
    start, lean = np.linalg.lstsq(design, upright)[0]
    assert (fit.lowest_mm, fit.row_pitch_mm) == pytest.approx((lowest, pitch))
    assert (fit.start_mm, fit.lean_mm) == pytest.approx((start, lean))
    figures = measure(job, flown)
    rms = sqrt(np.mean(fit.dx_mm**2 + fit.dy_mm**2))
    assert figures.rms_mm == pytest.approx(rms)
    assert figures.rms_mm <= figures.worst_mm
    assert figures.dx_mm == pytest.approx(np.abs(fit.dx_mm).max())
    assert figures.dy_mm == pytest.approx(np.abs(fit.dy_mm).max())
    # pitches are those that are wanted: 0.26 mm each way
    assert figures.worst_pitches == pytest.approx(max(figures.dx_mm, figures.dy_mm) / 0.26)


def test_kept_charges_are_those_of_the_usual_point(job, solved):
    kept = fly_case(job, job.usual(Charges.FIXED))
    elsewhere = fly_case(job, Case(0.5, 14.0, Charges.FIXED))
    for mine, other, own in zip(kept, elsewhere, solved, strict=True):
        assert np.array_equal(mine.landings.y_mm, own.landings.y_mm)
        charges = other.charges_c[other.landings.slot]
        assert np.array_equal(charges, own.charges_c[own.landings.slot])


def test_every_wake_of_the_profile_is_solved_and_flown(job, solved):
    assert [flown.wake for flown in solved] == [0.75, 1.0, 1.1]
    charges = np.array([flown.charges_c for flown in solved])
    assert not np.allclose(charges[0], charges[2], rtol=1e-4, atol=0)
    sure = structs.replace(job.profile.flight, wake=[0.9, 0.9, 0.9])
    own = structs.replace(job, profile=structs.replace(job.profile, flight=sure))
    assert own.wakes == (0.9,)
    assert own.key() != job.key()


def test_the_worst_of_a_band(job, solved):
    band = measured(job, solved)
    assert band.worst.worst_pitches == max(f.worst_pitches for f in band.figures)
    assert band.worst.near == min(f.near for f in band.figures)
    assert measure(job, worst_of(job, solved)).worst_pitches == band.worst.worst_pitches
    lost = structs.replace(band.figures[1], worst_pitches=None, near=None)
    mixed = structs.replace(band, figures=(band.figures[0], lost, band.figures[2]))
    assert mixed.worst.worst_pitches is None  # lost under one wake is lost
    assert mixed.worst.near == min(band.figures[0].near, band.figures[2].near)


def test_a_code_grows_with_the_throw_unless_its_charges_are_solved_anew(job):
    # geometry: drops fan out from the plates
    near, usual, far = (band_of(job, Case(0.85, t, Charges.FIXED)).worst for t in (8.0, 10.0, 12.0))
    assert near.height_mm < usual.height_mm < far.height_mm
    growth = far.row_pitch_mm - usual.row_pitch_mm, usual.row_pitch_mm - near.row_pitch_mm
    assert growth[0] == pytest.approx(growth[1], rel=0.25)
    again = band_of(job, Case(0.85, 12.0)).worst
    assert again.height_mm == pytest.approx(usual.height_mm, abs=0.01)
    assert again.charge < usual.charge  # a longer way needs less


def test_slow_light_drops_are_deflected_more(job):
    usual = band_of(job, job.usual(Charges.FIXED)).worst
    for jet in (JetChange(speed=0.97), JetChange(mass=0.94)):
        case = structs.replace(job.usual(Charges.FIXED), jet=jet)
        assert band_of(job, case).worst.lowest_mm > usual.lowest_mm


def test_a_single_row_tells_no_lean(job):
    single = structs.replace(job, columns=(1, 0, 1))
    figures = band_of(single, single.usual()).worst
    assert figures.slant_deg == 0
    assert figures.row_pitch_mm == 0.26


def test_lost_drops_have_no_placement(job):
    plates = structs.replace(job.profile.flight.plates, clearance_mm=0.01)
    profile = structs.replace(
        job.profile, flight=structs.replace(job.profile.flight, plates=plates)
    )
    figures = band_of(structs.replace(job, profile=profile), job.usual()).worst
    assert figures.lost == 10
    assert figures.worst_pitches is None


def test_the_key_tells_jobs_apart(job):
    assert job.key() == structs.replace(job).key()
    assert job.key() != structs.replace(job, speed_m_s=0.5).key()
    assert job.key() != structs.replace(job, columns=(1, 1)).key()


def test_products_that_would_strike_the_head_are_refused(job):
    flight = structs.replace(job.profile.flight, throw_tolerance_mm=10.0)
    with pytest.raises(InputError, match="would strike the head"):
        head_model(structs.replace(job.profile, flight=flight))


def test_charges_that_follow_in_steps_are_those_of_another_speed(job):
    followed = Case(1.5, 10.0, Charges.FOLLOWED, solved_at_m_s=1.2)
    there = structs.replace(job, speed_m_s=1.2)
    kept = band_of(there, Case(1.5, 10.0, Charges.FIXED))
    assert band_of(job, followed) == kept
    assert kept != band_of(job, Case(1.5, 10.0, Charges.FIXED))

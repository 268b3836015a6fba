"""One case flown and measured."""

from math import pi, sqrt

import numpy as np
import pytest
from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.head.model import head_model
from rasterc.sweep.case import BREAKUP_LOG, drifted, figures_of, fit_grid, fly_case, measure
from rasterc.sweep.model import Case, Charges, JetChange


@pytest.fixture(scope="module")
def solved(job):
    return fly_case(job, job.usual())


def test_solved_charges_place_the_drops_and_uncorrected_ones_do_not(job, solved):
    corrected = measure(job, solved)
    uncorrected = figures_of(job, job.usual(Charges.ALONE))
    assert corrected.worst_pitches < 0.2
    assert uncorrected.worst_pitches > 3 * corrected.worst_pitches
    assert corrected.row_pitch_mm == pytest.approx(0.25, abs=0.005)
    assert corrected.height_mm == pytest.approx(4 * 0.25 + 0.28, abs=0.02)
    assert corrected.lowest_mm == pytest.approx(1.2, abs=0.01)
    assert (corrected.lost, corrected.merged) == (0, 0)


def test_the_grid_is_the_nearest_by_least_squares(job, solved):
    # peer: numpy.linalg.lstsq on the design matrix of a straight line
    landings, plan = solved.landings, solved.plan
    fit = fit_grid(landings, plan, 0.25)
    design = np.column_stack((np.ones(len(landings)), landings.row))
    upright = landings.x_mm - landings.stroke * plan.stroke_pitch_mm
    lowest, pitch = np.linalg.lstsq(design, landings.y_mm)[0]
    start, lean = np.linalg.lstsq(design, upright)[0]
    assert (fit.lowest_mm, fit.row_pitch_mm) == pytest.approx((lowest, pitch))
    assert (fit.start_mm, fit.lean_mm) == pytest.approx((start, lean))
    figures = measure(job, solved)
    rms = sqrt(np.mean(fit.dx_mm**2 + fit.dy_mm**2))
    assert figures.rms_mm == pytest.approx(rms)
    assert figures.rms_mm <= figures.worst_mm


def test_kept_charges_are_those_of_the_usual_point(job, solved):
    kept = fly_case(job, job.usual(Charges.FIXED))
    assert np.array_equal(kept.landings.y_mm, solved.landings.y_mm)
    elsewhere = fly_case(job, Case(0.8, 14.0, Charges.FIXED))
    mine = elsewhere.charges_c[elsewhere.landings.slot]
    assert np.array_equal(mine, solved.charges_c[solved.landings.slot])


def test_a_code_grows_with_the_throw_unless_its_charges_are_solved_anew(job):
    # geometry: drops fan out from the plates
    near, usual, far = (figures_of(job, Case(1.3, t, Charges.FIXED)) for t in (8.0, 10.0, 12.0))
    assert near.height_mm < usual.height_mm < far.height_mm
    growth = far.row_pitch_mm - usual.row_pitch_mm, usual.row_pitch_mm - near.row_pitch_mm
    assert growth[0] == pytest.approx(growth[1], rel=0.25)
    again = figures_of(job, Case(1.3, 12.0))
    assert again.height_mm == pytest.approx(usual.height_mm, abs=0.01)
    assert again.charge < usual.charge  # a longer way needs less


def test_a_jet_that_has_not_drifted_is_the_same(job):
    head = head_model(job.profile)
    assert drifted(head, job.profile.flight, JetChange()) == head


def test_thicker_ink_breaks_up_later(job):
    # d sqrt(We) 3 Oh per part, with We and Oh written out: d sqrt(rho v^2 d / g) 3 mu
    # / sqrt(rho g d) = 3 d v mu / g
    head = head_model(job.profile)
    thick = drifted(head, job.profile.flight, JetChange(viscosity=1.1))
    nearer = 3 * 40e-6 * 20 * 3e-3 / 0.025 * 0.1 * BREAKUP_LOG
    assert head.entry_m - thick.entry_m == pytest.approx(nearer)
    assert head.exit_m - thick.exit_m == pytest.approx(nearer)


def test_a_heavier_drop_is_larger_by_its_volume(job):
    head = head_model(job.profile)
    heavy = drifted(head, job.profile.flight, JetChange(mass=1.06))
    density = heavy.drop_mass_kg / (pi / 6 * heavy.drop_diameter_m**3)
    assert density == pytest.approx(head.drop_mass_kg / (pi / 6 * head.drop_diameter_m**3))


def test_slow_light_drops_are_deflected_more(job):
    usual = figures_of(job, job.usual(Charges.FIXED))
    for jet in (JetChange(speed=0.97), JetChange(mass=0.94)):
        case = structs.replace(job.usual(Charges.FIXED), jet=jet)
        assert figures_of(job, case).lowest_mm > usual.lowest_mm


def test_a_single_row_tells_no_lean(job):
    single = structs.replace(job, columns=(1, 0, 1))
    figures = figures_of(single, single.usual())
    assert figures.slant_deg == 0
    assert figures.row_pitch_mm == 0.25


def test_lost_drops_have_no_placement(job):
    plates = structs.replace(job.profile.flight.plates, clearance_mm=0.01)
    profile = structs.replace(
        job.profile, flight=structs.replace(job.profile.flight, plates=plates)
    )
    figures = figures_of(structs.replace(job, profile=profile), job.usual())
    assert figures.lost == 10
    assert figures.worst_pitches is None


def test_the_key_tells_jobs_apart(job):
    assert job.key() == structs.replace(job).key()
    assert job.key() != structs.replace(job, wake=0.0).key()
    assert job.key() != structs.replace(job, columns=(1, 1)).key()


def test_products_that_would_strike_the_head_are_refused(job):
    flight = structs.replace(job.profile.flight, throw_tolerance_mm=10.0)
    with pytest.raises(InputError, match="would strike the head"):
        head_model(structs.replace(job.profile, flight=flight))

"""A jet that has drifted, and what goes on around a flight."""

from math import log, pi, radians, sqrt, tan

import pytest
from msgspec import structs

from rasterc.head.model import head_model
from rasterc.head.passage import lone_flight
from rasterc.sweep.around import with_surroundings
from rasterc.sweep.case import band_of
from rasterc.sweep.drifted import (
    BREAKUP_LOG,
    NEVER,
    breakup_room,
    breakup_shift,
    charge_factor,
    drifted,
    unjudged,
)
from rasterc.sweep.judge import Failure, failures, in_words
from rasterc.sweep.model import Case, Charges, JetChange


@pytest.fixture(scope="module")
def untold(job):
    """A profile that does not tell how its jet is driven."""
    flight = job.profile.flight
    jet = structs.replace(flight.jet, modulation=None, breakup_mm=None)
    return structs.replace(job.profile, flight=structs.replace(flight, jet=jet))


def test_a_jet_that_has_not_drifted_is_the_same(job):
    head = head_model(job.profile)
    assert drifted(head, job.profile, JetChange()) == head
    assert charge_factor(job.profile, JetChange()) == 1


def test_thicker_ink_breaks_up_later(untold):
    # d sqrt(We) 3 Oh per part, with We and Oh written out: d sqrt(rho v^2 d / g) 3 mu
    # / sqrt(rho g d) = 3 d v mu / g
    head = head_model(untold)
    thick = drifted(head, untold, JetChange(viscosity=1.1))
    nearer = 3 * 42e-6 * 20 * 3e-3 / 0.025 * 0.1 * BREAKUP_LOG
    assert head.entry_m - thick.entry_m == pytest.approx(nearer)
    assert head.exit_m - thick.exit_m == pytest.approx(nearer)
    assert breakup_shift(untold, JetChange(viscosity=1.1)).periods is None


def test_a_driven_jet_breaks_up_by_the_growth_of_its_drive(job):
    # Weber 1931: the root of his equation, written out anew
    flight, frequency = job.profile.flight, job.profile.head.drop_frequency_hz

    def breakup_s(speed, viscosity, width):
        d = flight.jet.nozzle_um * 1e-6 * width
        x = pi * d * frequency / speed
        rho, sigma = flight.ink.density_kg_m3, flight.ink.surface_tension_n_m
        damped = 6 * viscosity / rho * x**2 / d**2  # w^2 + 2 damped w = driven
        driven = 4 * sigma / (rho * d**3) * (1 - x**2) * x**2
        return log(1 / flight.jet.modulation) / (sqrt(driven + damped**2) - damped)

    mu = flight.ink.viscosity_mpa_s * 1e-3
    usual = breakup_s(20, mu, 1)
    for change, moved in (
        (JetChange(viscosity=1.1), breakup_s(20, 1.1 * mu, 1)),
        (JetChange(mass=1.02), breakup_s(20, mu, sqrt(1.02))),
        (JetChange(speed=1.02), breakup_s(20.4, mu, 1)),
    ):
        shift = breakup_shift(job.profile, change)
        assert shift.periods == pytest.approx((moved - usual) * frequency, rel=1e-6)


def test_a_heavier_drop_is_larger_by_its_volume(job):
    head = head_model(job.profile)
    heavy = drifted(head, job.profile, JetChange(mass=1.06))
    density = heavy.drop_mass_kg / (pi / 6 * heavy.drop_diameter_m**3)
    assert density == pytest.approx(head.drop_mass_kg / (pi / 6 * head.drop_diameter_m**3))
    # Rayleigh: q^2 = 64 pi^2 eps0 sigma r^3
    assert heavy.rayleigh_charge_c / head.rayleigh_charge_c == pytest.approx(sqrt(1.06))
    dense = drifted(head, job.profile, JetChange(density=1.06))
    assert dense.drop_mass_kg == pytest.approx(heavy.drop_mass_kg)
    assert dense.drop_diameter_m == head.drop_diameter_m


def test_mass_follows_speed(job):
    # m = rho pi d^2 v / (4 f): a faster jet of the same width makes drops as much heavier
    head = head_model(job.profile)
    fast = drifted(head, job.profile, JetChange(speed=1.01))
    assert fast.drop_mass_kg == pytest.approx(1.01 * head.drop_mass_kg)
    # charge at one voltage follows too, deflection is q E / (m v^2): -2 % without air, a little
    # more with it, a little less as breakup moves
    usual = band_of(job, job.usual(Charges.FIXED)).figures[1].lowest_mm
    case = structs.replace(job.usual(Charges.FIXED), jet=JetChange(speed=1.01))
    moved = band_of(job, case).figures[1].lowest_mm / usual - 1
    assert -0.028 < moved < -0.016


def test_a_wider_jet_takes_more_charge(job):
    # 2 pi eps0 l / ln(bore / d)
    bore, nozzle = job.profile.flight.electrode.bore_um, job.profile.flight.jet.nozzle_um
    found = charge_factor(job.profile, JetChange(mass=1.1, speed=1.05))
    assert found == pytest.approx(1.05 * log(bore / nozzle) / log(bore / nozzle / sqrt(1.1)))


@pytest.fixture(scope="module")
def kept(job):
    """A head that leaves the phase of charging as it was set."""
    flight = job.profile.flight
    electrode = structs.replace(flight.electrode, phase_followed=False)
    flight = structs.replace(flight, electrode=electrode)
    return structs.replace(job, profile=structs.replace(job.profile, flight=flight))


def around(job, good, band_of_figures, **changes):
    """The failures of a flight that is good, but for what goes on around it."""
    case = structs.replace(job.usual(Charges.FIXED), **changes)
    figures = with_surroundings(job, case, band_of_figures(good)).figures[0]
    return figures, failures(job, figures)


def test_breakup_may_move_as_far_as_its_window(kept, good, band_of_figures):
    room = breakup_room(kept.profile)
    assert 0 < room.periods < 0.5
    for change in (JetChange(viscosity=1.005), JetChange(speed=0.999)):
        figures, failed = around(kept, good, band_of_figures, jet=change)
        assert 0 < abs(figures.breakup_periods) < room.periods
        assert failed == ()
    figures, failed = around(kept, good, band_of_figures, jet=JetChange(viscosity=1.1))
    assert figures.breakup_periods > room.periods
    assert failed == (Failure.PHASE,)
    said = in_words(kept, Case(1, 10), figures, Failure.PHASE)
    assert f"{figures.breakup_periods:+.2f} drop periods later" in said


def test_a_head_that_follows_the_phase_is_ended_by_its_tunnel(job, good, band_of_figures):
    following, room = job, breakup_room(job.profile)
    assert job.profile.flight.electrode.phase_followed
    for viscosity, failed in ((1.1, ()), (3.0, (Failure.BREAKUP,))):
        change = JetChange(viscosity=viscosity)
        figures, found = around(following, good, band_of_figures, jet=change)
        assert found == failed
        assert (figures.breakup_mm > room.later_mm) is bool(failed)
    assert "are left" in in_words(following, Case(1, 10), figures, Failure.BREAKUP)


def test_what_the_profile_does_not_tell_is_not_judged(untold, job, good, band_of_figures):
    silent = structs.replace(job, profile=untold)
    figures, failed = around(silent, good, band_of_figures, jet=JetChange(viscosity=1.1))
    assert figures.breakup_periods is None
    assert figures.breakup_mm > 0
    assert set(unjudged(untold)) == {"charge phase", "breakup place"}
    assert unjudged(job.profile) == {}
    assert failed == ()
    # but no drop is charged that breaks off between the plates
    figures, failed = around(silent, good, band_of_figures, jet=JetChange(viscosity=9.0))
    assert failed == (Failure.BREAKUP,)


def test_a_jet_too_slow_for_its_drive_never_breaks(kept, good, band_of_figures):
    # no wave shorter than the jet's circumference grows (Plateau)
    figures, failed = around(kept, good, band_of_figures, jet=JetChange(speed=0.5))
    assert figures.breakup_periods == NEVER
    assert failed == (Failure.PHASE, Failure.BREAKUP)


def test_a_code_must_begin_where_it_still_fits_its_window(job, good, band_of_figures):
    # three strokes: 2 x 0.26, the lean of 4 rows x 0.25 x tan 2 degrees, and a dot of 0.3
    length = 0.52 + 4 * 0.25 * tan(radians(2)) + 0.3
    line = structs.replace(job.profile.line, print_window_mm=1.2)
    asking = structs.replace(job, profile=structs.replace(job.profile, line=line))
    late = (1.2 - length) / 2 / 0.85 * 1e3  # us at 0.85 m/s
    figures, failed = around(asking, good, band_of_figures, trigger_us=-0.99 * late)
    assert figures.length_mm == pytest.approx(length)
    assert figures.start_mm == pytest.approx(-0.99 * (1.2 - length) / 2)
    assert failed == ()
    figures, failed = around(asking, good, band_of_figures, trigger_us=1.01 * late)
    assert failed == (Failure.WINDOW,)
    assert "in a window of 1.2 mm" in in_words(asking, Case(1, 10), figures, Failure.WINDOW)


def test_a_code_is_longer_while_the_line_speeds_up(job, good, band_of_figures):
    line = structs.replace(job.profile.line, acceleration_m_s2=5.0)
    speeding = structs.replace(job, profile=structs.replace(job.profile, line=line))
    usual, longer = (around(one, good, band_of_figures)[0].length_mm for one in (job, speeding))
    # kinematics: strokes land a T further apart per speed
    head = head_model(job.profile)
    _, flight_s = lone_flight(head, head.jet_speed_m_s, head.product_m)
    assert longer - usual == pytest.approx(0.52 * 5.0 * flight_s / 0.85)

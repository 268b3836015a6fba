"""How far things may drift, confirmed by flying on both sides of what was found."""

from math import log, pi, sqrt

import pytest
from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.head.ink import ink_at
from rasterc.sweep.around import with_surroundings
from rasterc.sweep.case import band_of
from rasterc.sweep.drifting import Drift, all_drifting, case_at
from rasterc.sweep.judge import Failure, band_failures
from rasterc.sweep.model import Charges
from rasterc.sweep.tolerance import NEAR, Flights, sides, together, usual_failures


def following(job, follows):
    flight = job.profile.flight
    electrode = structs.replace(flight.electrode, phase_followed=follows)
    flight = structs.replace(flight, electrode=electrode)
    return structs.replace(job, profile=structs.replace(job.profile, flight=flight))


@pytest.fixture
def imagined(good, band_of_figures):
    """Flights that are good, but merge where a drift says so; nothing is flown."""

    def make(job, bad, width=1):
        def fly(job, cases):
            fly.count += len(cases)
            merged = structs.replace(good, merged=1)
            bands = {c: band_of_figures(good, good, merged if bad(c) else good) for c in cases}
            return {case: with_surroundings(job, case, band) for case, band in bands.items()}

        fly.count = 0
        return Flights(job, fly, width), fly

    return make


def by_way(found):
    return {(side.drifting.what, side.end > side.drifting.usual): side for side in found}


@pytest.mark.parametrize("width", [1, 3])
def test_the_edge_is_found_between_a_value_that_holds_and_one_that_fails(job, imagined, width):
    flights, fly = imagined(job, lambda case: case.throw_mm > 17.3, width)
    found = by_way(sides(flights))
    edge = found[Drift.THROW, True].edge
    assert edge.holds_to <= 17.3 < edge.fails_at
    assert edge.fails_at - edge.holds_to <= NEAR * (edge.holds_to - 10)
    assert edge.limits == (Failure.MERGE,)
    nearer = found[Drift.THROW, False].edge
    assert (nearer.holds_to, nearer.fails_at, nearer.limits) == (1.0, None, ())
    assert fly.count < 90


def test_the_first_failure_on_the_way_counts(job, imagined):
    # it fails from 11 to 16 mm and holds again beyond
    flights, _ = imagined(job, lambda case: 11 < case.throw_mm < 16)
    edge = by_way(sides(flights))[Drift.THROW, True].edge
    assert edge.holds_to <= 11 < edge.fails_at < 16


def test_viscosity_is_ended_by_the_phase_of_charging_unless_that_is_followed(job, imagined):
    # Weber's growth and the window of the profile, written out anew
    flight, frequency = job.profile.flight, job.profile.head.drop_frequency_hz
    d, rho = flight.jet.nozzle_um * 1e-6, flight.ink.density_kg_m3
    x = pi * d * frequency / flight.jet.jet_speed_m_s

    def periods(viscosity):
        damped = 6 * viscosity * 1e-3 / rho * x**2 / d**2
        driven = 4 * flight.ink.surface_tension_n_m / (rho * d**3) * (1 - x**2) * x**2
        return log(1 / flight.jet.modulation) / (sqrt(driven + damped**2) - damped) * frequency

    kept = following(job, follows=False)
    flights, _ = imagined(kept, lambda case: False)
    side = by_way(sides(flights))[Drift.VISCOSITY, True]
    assert side.edge.limits == (Failure.PHASE,)
    assert side.followed.limits == (Failure.BREAKUP,)
    moved = [periods(v) - periods(flight.ink.viscosity_mpa_s) for v in
             (side.edge.holds_to, side.edge.fails_at)]  # fmt: skip
    # the window: a period of 10.87 us less 2 us of the amplifier and what the ink takes
    assert moved[0] < 0.5 * (1 - 2e-6 * frequency) and moved[1] - moved[0] < 0.02
    # followed by the head, the same search ends at the same place
    flights, _ = imagined(job, lambda case: False)
    again = by_way(sides(flights))[Drift.VISCOSITY, True]
    assert again.edge == again.followed == side.followed


def test_tolerances_are_confirmed_by_flying_on_both_sides(job):
    # the fastest jet and the throw at which drops strike: real flights, three strokes on five rows
    narrow = structs.replace(job.profile.product, min_character_height_mm=1.3)
    asking = structs.replace(job, profile=structs.replace(job.profile, product=narrow))
    flown = {}

    def fly(job, cases):
        flown.update({case: band_of(job, case) for case in cases})
        return flown

    flights = Flights(asking, fly)
    assert usual_failures(flights) == ()
    side = next(s for s in sides(flights) if s.drifting.what is Drift.JET_SPEED and s.end > 20)
    assert side.edge.limits == (Failure.HEIGHT,)
    assert 20 < side.edge.holds_to < side.edge.fails_at < 21.5
    for value, failed in ((side.edge.holds_to, ()), (side.edge.fails_at, (Failure.HEIGHT,))):
        case = case_at(asking, {Drift.JET_SPEED: value})
        assert band_failures(asking, band_of(asking, case)) == failed


def test_all_together_share_their_tolerances(job, imagined):
    # merges once throw and jet speed are off too far together
    def bad(case):
        speed = 0 if case.jet is None else abs(case.jet.speed - 1)
        return abs(case.throw_mm - 10) / 10 + speed * 10 > 0.6

    flights, _ = imagined(job, bad)
    wanted = (Drift.THROW, Drift.JET_SPEED)
    found = [side for side in sides(flights) if side.drifting.what in wanted]
    shared = together(flights, found, 12, 1, followed=False)
    assert shared.limits == (Failure.MERGE,)
    assert 0 < shared.share < shared.fails_at <= shared.share + 1 / 32 + 1e-9
    # alone each may use 60 % of 10 mm and 6 % of 20 m/s: together half of it at opposite ends
    assert shared.share == pytest.approx(0.5, abs=0.05)
    assert together(flights, found, 12, 1, followed=False) == shared
    assert together(flights, [], 12, 1, followed=False) is None


def test_nothing_fails_and_all_of_it_may_be_used(job, imagined):
    flights, _ = imagined(job, lambda case: False)
    found = [side for side in sides(flights) if side.drifting.what is Drift.THROW]
    shared = together(flights, found, 5, 1, followed=True)
    assert (shared.share, shared.fails_at) == (1.0, None)


@pytest.mark.parametrize("draws", [0, 1001])
def test_draws_that_make_no_sense(job, imagined, draws):
    with pytest.raises(InputError, match="cannot be flown"):
        together(imagined(job, bool)[0], [], draws, 1, followed=False)


def test_a_jitter_that_carries_codes_out_of_their_window(job, imagined):
    line = structs.replace(job.profile.line, print_window_mm=5.0, trigger_jitter_us=100.0)
    windowed = structs.replace(job, profile=structs.replace(job.profile, line=line))
    flights, _ = imagined(windowed, lambda case: False)
    found = by_way(sides(flights))
    assert (Drift.TRIGGER, False) not in found
    edge = found[Drift.TRIGGER, True].edge
    assert edge.limits == (Failure.WINDOW,)
    length = flights.bands([case_at(windowed, {Drift.TRIGGER: 100.0})])[0].worst.length_mm
    # three standard deviations at 0.85 m/s
    most = (5.0 - length) / 2 / (3 * 0.85e-3)
    assert edge.holds_to <= most < edge.fails_at


def test_what_the_profile_does_not_tell_is_said_to_be_untold(job):
    flight = job.profile.flight
    jet = structs.replace(flight.jet, modulation=None)
    ink = structs.replace(flight.ink, make_up=None)
    flight = structs.replace(flight, jet=jet, ink=ink)
    silent = structs.replace(job, profile=structs.replace(job.profile, flight=flight))
    untold = {d.what for d in all_drifting(silent) if d.untold}
    assert untold == {Drift.VISCOSITY, Drift.TEMPERATURE, Drift.TRIGGER}
    assert {d.what for d in all_drifting(job) if d.untold} == {Drift.TRIGGER}


def test_warm_ink_is_thinner_and_lighter_and_flies_faster_at_the_same_pressure(job):
    jet = case_at(job, {Drift.TEMPERATURE: 35.0}).jet
    warm, usual = ink_at(job.profile.flight.ink, 35.0), ink_at(job.profile.flight.ink)
    assert jet.viscosity == pytest.approx(warm.viscosity_pa_s / usual.viscosity_pa_s)
    assert jet.viscosity < 1
    assert jet.density < 1
    assert jet.surface_tension < 1
    assert jet.speed > 1
    assert case_at(job, {d.what: d.usual for d in all_drifting(job)}).jet is None
    assert case_at(job, {}).charges is Charges.FIXED

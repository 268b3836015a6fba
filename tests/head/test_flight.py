"""Flight: against scipy's DOP853, against what physics conserves, and in the limits."""

import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

import rasterc.head.flight as flight_module
from rasterc.head import compiled
from rasterc.head.flight import fly
from rasterc.head.plates import deflection_m
from rasterc.head.wake import WAKE_BAND

LOW_FIRST = np.linspace(0.06, 0.22, 7)


@pytest.fixture(params=["compiled", "numpy"])
def loops(request, monkeypatch):
    """Either kind of loops that fly drops."""
    if request.param == "numpy":
        monkeypatch.setattr(flight_module, "compiled_run", lambda: None)
    else:
        assert flight_module.compiled_run()  # numba is among what the tests install


def strokes(head, *, starts=(0, 9, 18), charges=LOW_FIRST, drops=27):
    """Charges of strokes thrown close together, as parts of Rayleigh's limit."""
    out = np.zeros(drops)
    for start in starts:
        out[start : start + len(charges)] = charges * head.rayleigh_charge_c
    return out


def without_air(head):
    return replace(head, air_density_kg_m3=1e-12, air_viscosity_pa_s=1e-15)


@pytest.mark.parametrize("name", ["fine", "middle", "coarse"])
@pytest.mark.parametrize("wake", WAKE_BAND)
def test_within_a_tenth_of_a_micrometre_of_dop853(heads, peer_landings, name, wake):
    # peer: scipy solve_ivp DOP853, rtol 1e-11, equations written separately (peer.py)
    head = heads[name]
    charges = strokes(head, charges=LOW_FIRST[::-1], starts=(0, 9))[:16]
    y_m, arrival_s = peer_landings(head, charges, wake)
    ours = fly(head, charges, wake=wake)
    apart = np.abs(ours.y_m[0] - y_m)
    # the first and highest drop comes into clean air at once: nearly two tenths
    assert apart.max() < 0.2e-6
    assert np.sort(apart)[-3] < 0.06e-6
    assert np.abs(ours.arrival_s[0] - arrival_s).max() * head.jet_speed_m_s < 0.5e-6


def test_halving_the_step_quarters_the_error(loops, heads):
    # a method of second order: error ~ step^2
    charges = strokes(heads["middle"], charges=LOW_FIRST[::-1])
    fine = fly(heads["middle"], charges, steps_per_drop=16).y_m
    errors = [
        np.abs(fly(heads["middle"], charges, steps_per_drop=n).y_m - fine).max() for n in (1, 2, 4)
    ]
    ratios = np.divide(errors[:-1], errors[1:])
    assert np.all((ratios > 3) & (ratios < 5.5))


def test_patterns_do_not_touch_each_other_and_results_repeat(heads):
    rng = np.random.default_rng(5)
    charges = strokes(heads["fine"]) * rng.integers(0, 2, (5, 27))
    together = fly(heads["fine"], charges)
    for pattern, y_m in zip(charges, together.y_m, strict=True):
        assert fly(heads["fine"], pattern).y_m[0] == pytest.approx(y_m, abs=1e-9)
    assert np.array_equal(fly(heads["fine"], charges).y_m, together.y_m)


def same(one, other):
    """Whether two flights are equal within a nanometre; along the flight, where it depends on what
    flies side by side when a landed drop feels no air any more, within some hundred."""
    assert one.y_m == pytest.approx(other.y_m, abs=1e-9, nan_ok=True)
    along = np.abs(one.arrival_s - other.arrival_s) * 20  # m/s
    assert np.nanmax(along) < 300e-9
    assert one.separation_m == pytest.approx(other.separation_m, abs=1e-9)
    assert np.array_equal(one.nearest, other.nearest)
    assert one.plate_m == pytest.approx(other.plate_m, abs=1e-9)


@pytest.mark.parametrize("grid", [{}, {"steps_per_drop": 2}, {"drops_per_step": 3}])
def test_compiled_loops_find_what_numpy_finds(heads, monkeypatch, grid):
    # patterns of two heads, strong and weak wakes, more patterns than fly side by side
    rng = np.random.default_rng(9)
    names = ["fine"] * 12 + ["slower"] * 8
    slower = replace(heads["fine"], jet_speed_m_s=19.0, row_pitch_m=0.4e-3)
    flown = {"fine": heads["fine"], "slower": slower}
    charges = strokes(heads["fine"]) * rng.integers(0, 2, (20, 27))
    given = [flown[name] for name in names], charges
    options = {"wake": rng.uniform(0, 1.1, 20), "follow": True, **grid}
    compiled = fly(*given, **options)
    monkeypatch.setattr(flight_module, "compiled_run", lambda: None)
    same(compiled, fly(*given, **options))


def test_touching_drops_are_the_same_by_both(heads, monkeypatch):
    # seven rows without guards under strong wakes: drops run into each other
    charges = strokes(heads["fine"], starts=(0,), charges=np.full(7, 0.1), drops=8)
    compiled = fly(heads["fine"], charges, wake=1.1, follow=True)
    assert compiled.separation_m.min() < heads["fine"].drop_diameter_m
    monkeypatch.setattr(flight_module, "compiled_run", lambda: None)
    numpy = fly(heads["fine"], charges, wake=1.1, follow=True)
    assert numpy.y_m == pytest.approx(compiled.y_m, abs=20e-9)


@pytest.mark.parametrize("broken", ["switched off", "not there", "of no use"])
def test_numpy_flies_where_numba_does_not_work(monkeypatch, broken):
    import numba

    if broken == "switched off":
        monkeypatch.setattr(numba.config, "DISABLE_JIT", 1)
    else:
        monkeypatch.setitem(sys.modules, "numba", None)
    compiled.compiled_run.cache_clear()
    try:
        if broken == "not there":
            assert compiled.flown_by() == "numpy"
        assert compiled.compiled_run() is None
        assert compiled.flown_by() == "numpy"
    finally:
        compiled.compiled_run.cache_clear()


def test_what_flies_is_told_before_it_is_loaded():
    said = "from rasterc.head.compiled import flown_by; import sys; print(flown_by(), *sys.modules)"
    told = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=True)
    assert told.stdout.startswith("compiled loops ")
    assert "numba" not in told.stdout.split()


def test_parts_change_nothing(heads, monkeypatch):
    monkeypatch.setattr(flight_module, "compiled_run", lambda: None)
    charges = strokes(heads["fine"]) * np.random.default_rng(6).integers(0, 2, (9, 27))
    whole = fly(heads["fine"], charges, follow=True)
    monkeypatch.setattr(flight_module, "VALUES_AT_ONCE", 1)
    single = fly(heads["fine"], charges, follow=True)
    assert single.y_m == pytest.approx(whole.y_m, abs=1e-9)
    assert np.array_equal(single.nearest, whole.nearest)


def test_opposite_charges_land_opposite(loops, heads):
    # symmetry of the field about the axis, where that runs in the middle between the plates
    head = replace(heads["middle"], middle_m=0.0)
    charges = strokes(head)
    up, down = fly(head, charges), fly(head, -charges)
    assert down.y_m == pytest.approx(-up.y_m, abs=1e-13)


def test_uncharged_drops_fly_straight_and_evenly(loops, heads):
    flown = fly(heads["middle"], np.zeros(40))
    assert np.all(flown.y_m == 0)
    # the wakes of an even stream are unstable: what rounding and the lead-in leave grows a little
    assert np.diff(flown.arrival_s[0]) == pytest.approx(heads["middle"].period_s, rel=5e-3)
    alone = fly(heads["middle"], np.zeros(40), wake=0)
    assert np.diff(alone.arrival_s[0]) == pytest.approx(heads["middle"].period_s, rel=1e-9)


def test_a_lone_drop_without_air_lands_by_the_textbook_formula(loops, heads):
    # uniform-field formula; a fringe symmetric about the plate ends keeps area and moment of the
    # field, so it lands there too up to the small change of speed in the fringe, and to what of the
    # fringe lies before the breakup, where drops begin
    head = without_air(heads["middle"])
    charge = 0.01 * head.rayleigh_charge_c
    expected = deflection_m(charge, head.drop_mass_kg, head.field_v_m, 24e-3, 20, 15e-3)
    assert fly(head, [charge], wake=0).y_m[0, 0] == pytest.approx(expected, rel=1e-3)


def test_a_lone_drop_without_air_pays_its_energy_back(loops, heads):
    # conservation of energy: beyond the curl-free field a drop is as fast as before it. Here its
    # speed is taken from two throws; sqrt(vz^2 + vy^2) is the jet's
    head = without_air(heads["middle"])
    charge = 0.25 * head.rayleigh_charge_c
    near, far = (fly(head, [charge], wake=0, throw_m=t, steps_per_drop=8) for t in (12e-3, 20e-3))
    dt = far.arrival_s[0, 0] - near.arrival_s[0, 0]
    speed = np.hypot(8e-3, far.y_m[0, 0] - near.y_m[0, 0]) / dt
    assert speed == pytest.approx(head.jet_speed_m_s, rel=5e-5)


def test_drag_alone_stops_a_drop_as_the_formula_integrated_by_hand(loops, heads):
    # dv/dt = -rate(v) v along a line: way = integral dv / rate, time = integral dv / (v rate),
    # Schiller-Naumann's rate, by scipy's quadrature
    head = heads["middle"]
    k = 3 * np.pi * head.air_viscosity_pa_s * head.drop_diameter_m / head.drop_mass_kg
    per_speed = head.air_density_kg_m3 * head.drop_diameter_m / head.air_viscosity_pa_s

    def rate(v):
        return k * (1 + 0.15 * (per_speed * v) ** 0.687)

    def way(v_end):
        return quad(lambda v: 1 / rate(v), v_end, 20)[0]

    slowest = brentq(lambda v: way(v) - head.product_m, 1, 20)
    time = quad(lambda v: 1 / (v * rate(v)), slowest, 20)[0]
    assert fly(head, [0.0], wake=0).arrival_s[0, 0] == pytest.approx(time, rel=1e-6)


def test_strokes_far_apart_do_not_feel_each_other(heads):
    # the limit of an infinite gap is a stroke alone
    head = heads["middle"]
    alone = fly(head, strokes(head, starts=(0,), drops=7)).y_m[0]
    misses = []
    for gap in (2, 20, 200):
        pair = strokes(head, starts=(0, 7 + gap), drops=14 + gap)
        misses.append(np.abs(fly(head, pair).y_m[0, :7] - alone).max())
    assert misses[0] > 5e-6 > misses[1] > misses[2]
    assert misses[2] < 0.02e-6


def test_without_wakes_landings_are_those_of_drag_alone(loops, heads, peer_landings):
    # peer: scipy solve_ivp DOP853, which then knows no drop that flies ahead
    head = heads["middle"]
    charges = strokes(head, charges=LOW_FIRST[::-1])[:7]
    flown = fly(head, charges, wake=0)
    assert flown.y_m[0, :7] == pytest.approx(peer_landings(head, charges, 0)[0][:7], abs=6e-8)


def test_a_wake_lets_drops_arrive_sooner(heads):
    arrivals = [
        fly(heads["middle"], np.zeros(1), wake=wake).arrival_s[0, 0] for wake in (0, *WAKE_BAND)
    ]
    assert arrivals == sorted(arrivals, reverse=True)
    assert arrivals[-1] > heads["middle"].product_m / 20


def test_the_lead_in_is_long_enough(heads, monkeypatch):
    charges = strokes(heads["middle"])
    usual = fly(heads["middle"], charges).y_m
    monkeypatch.setattr(flight_module, "LEAD_IN_DROPS", 40)
    assert fly(heads["middle"], charges).y_m == pytest.approx(usual, abs=0.05e-6)


def test_forgetting_landed_drops_changes_nothing_that_counts(heads, monkeypatch):
    head = heads["fine"]
    charges = strokes(head, starts=range(0, 270, 9), drops=270)
    usual = fly(head, charges).y_m
    monkeypatch.setattr(flight_module, "KEPT_DROPS", 10_000)
    assert fly(head, charges).y_m == pytest.approx(usual, abs=0.2e-6)


def test_the_nearest_drop_is_followed(loops, heads):
    # two drops of equal charge one period apart start a wavelength apart and drive each other off
    head = without_air(heads["middle"])
    flown = fly(head, strokes(head, starts=(0,), charges=np.array([0.1, 0.1]), drops=2),
                wake=0, follow=True)  # fmt: skip
    assert flown.nearest[0, 1] == 0
    spacing = head.jet_speed_m_s * head.period_s
    assert flown.separation_m[0] == pytest.approx([spacing, spacing], rel=0.02)
    assert np.all((flown.plate_m[0] > 0) & (flown.plate_m[0] < flown.y_m[0]))


def test_a_drop_that_turns_back_never_lands(loops, heads):
    blown = replace(heads["fine"], air_viscosity_pa_s=1e-3)
    assert np.isnan(fly(blown, [0.0]).y_m[0, 0])

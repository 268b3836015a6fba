"""What becomes of a drop in the air and on the product, against published values."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from rasterc.head.air import drag_coefficient
from rasterc.head.passage import (
    SAKIADIS,
    carried_m,
    drag_rate,
    gap_drift_m,
    laminar_drift_m,
    lone_flight,
)
from rasterc.head.spread import cap_ratio, greatest_spread, measured_spread, wets
from rasterc.profile.flight import Material


@pytest.mark.parametrize(
    ("angle", "ratio"),
    [(5, 3.94), (10, 3.12), (20, 2.46), (30, 2.13), (40, 1.91), (60, 1.61), (90, 1.26)],
)
def test_resting_caps(angle, ratio):
    # geometry, computed outside this project
    assert cap_ratio(angle) == pytest.approx(ratio, abs=5e-3)


@pytest.mark.parametrize("angle", [15, 70, 120, 150])
def test_a_cap_holds_the_drop(angle):
    # volume of revolution of a circle of radius R cut at the angle, against pi / 6
    a = np.radians(angle)
    radius = cap_ratio(angle) / 2 / np.sin(a)
    volume = quad(lambda z: np.pi * (radius**2 - z**2), radius * np.cos(a), radius)[0]
    assert volume == pytest.approx(np.pi / 6, rel=1e-9)


def test_greatest_spread():
    # Pasandideh-Fard and others 1996, Scheller and Bousfield 1995 (both from memory), for a drop
    # of We 669 and Re 364; computed outside this project
    assert greatest_spread(669, 364, 180) == pytest.approx(2.16, abs=5e-3)
    assert measured_spread(669, 364) == pytest.approx(2.79, abs=5e-3)


def test_wetting_of_polymers_by_solvents():
    # critical surface tensions of a table read at second hand: butanone at 20 degrees C wets all
    # of them but PTFE
    assert {str(m) for m in Material if not wets(m, 24.53e-3)} == {"PTFE"}


def test_the_layer_on_a_moving_surface():
    # Sakiadis 1961: f''(0) = -0.4437, f at infinity 1.616 (read in texts; computed outside)
    def at_end(curvature, end=30.0):
        return solve_ivp(
            lambda _, y: (y[1], y[2], -y[0] * y[2] / 2, 0.0), (0, end), (0, 1, curvature, 0),
            rtol=1e-10, atol=1e-12,
        ).y[:, -1]  # fmt: skip

    curvature = brentq(lambda c: at_end(c)[1], -0.46, -0.43)
    assert curvature == pytest.approx(-0.4437, abs=1e-4)
    assert at_end(curvature)[0] == pytest.approx(1.616, abs=1e-3)
    layer = solve_ivp(
        lambda t, y: (y[1], y[2], -y[0] * y[2] / 2, t * y[1]), (0, 30), (0, 1, curvature, 0),
        rtol=1e-10, atol=1e-12,
    ).y[3, -1]  # fmt: skip
    assert pytest.approx(layer, abs=2e-3) == SAKIADIS
    # 4.1 um for 0.3 m of moving surface, k 160 per s, 20 m/s
    assert laminar_drift_m(160, 1.51e-5, 0.3, 20) * 1e6 == pytest.approx(4.1, abs=0.05)


def test_a_drop_loses_speed_as_by_an_ode_solver(heads):
    # m dv/dt = - rho A Cd v^2 / 2 with Schiller and Naumann's Cd, by scipy
    head = next(iter(heads.values()))

    def slope(_, v):
        re = head.air_density_kg_m3 * v * head.drop_diameter_m / head.air_viscosity_pa_s
        area = np.pi / 4 * head.drop_diameter_m**2
        drag = 0.5 * head.air_density_kg_m3 * v**2 * area * drag_coefficient(re)
        return -drag / head.drop_mass_kg / v

    way = head.product_m
    expected = solve_ivp(slope, (0, way), [head.jet_speed_m_s], rtol=1e-10).y[0, -1]
    speed, seconds = lone_flight(head, head.jet_speed_m_s, way)
    assert speed == pytest.approx(expected, rel=1e-5)
    assert way / head.jet_speed_m_s < seconds < way / speed


def test_air_dragged_in_the_whole_gap(heads):
    # half a product speed of 1 m/s across the gap: the formula for a steady drop, and by steps
    # with the drop slowing down
    head = next(iter(heads.values()))
    by_steps = carried_m(head, 20.0, 0.005, lambda _: 0.5)
    steady = gap_drift_m(drag_rate(head, 20.0), 1.0, 0.005, 20.0)
    assert by_steps == pytest.approx(steady, rel=0.06)

"""Breakup, charging, plates and repulsion, each on its own."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import i0, i1

from rasterc.head.breakup import drop_diameter_m, growth_rate_per_s, sphere_mass_kg
from rasterc.head.charging import (
    charge_per_volt_c,
    charges_from_volts,
    dac_codes,
    dac_volts,
    tunnel_induction,
    volts_from_charges,
)
from rasterc.head.coulomb import repulsion
from rasterc.head.plates import plate_field

EDGES = {"entry_m": 5e-3, "exit_m": 25e-3, "fringe_m": 1e-3, "middle_m": 0.8e-3}


@pytest.mark.parametrize("wavelength_per_diameter", [3.2, 4.5, 6, 12])
def test_growth_rate_with_bessel_functions_of_scipy(wavelength_per_diameter):
    # Rayleigh's dispersion relation with scipy.special.i0 and i1
    x = np.pi / wavelength_per_diameter
    expected = np.sqrt(0.03 / (1000 * 25e-6**3) * x * (1 - x**2) * i1(x) / i0(x))
    got = growth_rate_per_s(wavelength_per_diameter * 50e-6, 50e-6, 1000, 0.03)
    assert got == pytest.approx(expected, rel=1e-12)


@given(st.floats(20e-6, 150e-6), st.floats(3.2, 8))
def test_a_drop_holds_the_mass_of_its_piece_of_jet(jet_m, wavelength_per_diameter):
    # conservation of mass
    wavelength = wavelength_per_diameter * jet_m
    drop = sphere_mass_kg(drop_diameter_m(jet_m, wavelength), 900)
    assert drop == pytest.approx(900 * np.pi / 4 * jet_m**2 * wavelength, rel=1e-12)


def test_charge_per_volt_is_that_of_a_coaxial_cable():
    # 50 ohm air-spaced line, D/d = 2.302: 66.7 pF/m = 1 / (c Z), c = 299792458 m/s, with
    # Z = 59.9585 ln(D/d) ohm
    per_metre = charge_per_volt_c(1e-3, 2.302e-3, 1.0)
    ohm = 59.9585 * np.log(2.302)
    assert per_metre == pytest.approx(1 / (299792458 * ohm), rel=1e-5)


coefficients = st.lists(st.floats(0, 0.5), max_size=4)
voltages = st.lists(st.floats(0, 350), min_size=1, max_size=12)


@given(voltages, coefficients)
def test_voltages_and_charges_are_inverse(volts, induction):
    volts = np.array(volts)
    charges = charges_from_volts(volts, 5e-15, induction)
    assert volts_from_charges(charges, 5e-15, induction) == pytest.approx(volts, abs=1e-9)


@given(voltages, st.floats(-2, 2), coefficients)
def test_charging_is_linear(volts, factor, induction):
    # superposition of electrostatic fields
    volts = np.array(volts)
    once = charges_from_volts(volts, 5e-15, induction)
    scaled = charges_from_volts(factor * volts, 5e-15, induction)
    assert scaled == pytest.approx(factor * once, abs=1e-24)


@given(voltages, st.integers(6, 16))
def test_the_converter_is_at_most_half_a_step_off(volts, bits):
    got = dac_volts(dac_codes(np.array(volts), -20, 350, bits), -20, 350, bits)
    assert np.abs(got - volts).max() <= 370 / (2**bits - 1) / 2 * (1 + 1e-9)


def test_the_converter_clips():
    assert dac_codes(np.array([-500.0, 900.0]), 0, 350, 10).tolist() == [0, 1023]


@pytest.mark.parametrize("y_m", (0.0, 0.8e-3, 1.9e-3))
def test_the_fringe_keeps_the_integral_of_the_field(y_m):
    # a sharp-edged field over the plate length L has the integral L, at every height
    def across(z):
        return float(plate_field(np.array(z), np.array(y_m), **EDGES)[0])

    assert quad(across, -0.05, 0.08, points=(5e-3, 25e-3))[0] == pytest.approx(20e-3, rel=1e-9)


@pytest.mark.parametrize("y_m", (0.0, 1e-3, 1.7e-3))
def test_the_field_of_the_plates_has_no_curl_and_no_source(y_m):
    # electrostatics: dEz/dy = dEy/dz and dEy/dy = -dEz/dz, by central differences
    z, y, h = np.linspace(0, 30e-3, 61), np.full(61, y_m), 1e-7

    def step(dz, dy):
        before = plate_field(z - dz, y - dy, **EDGES)
        after = plate_field(z + dz, y + dy, **EDGES)
        return [(b - a) / (2 * h) for a, b in zip(before, after, strict=True)]

    (across_by_z, along_by_z), (across_by_y, along_by_y) = step(h, 0.0), step(0.0, h)
    assert along_by_y == pytest.approx(across_by_z, abs=1e-3)
    assert across_by_y == pytest.approx(-along_by_z, abs=1e-3)


def test_a_drop_on_the_axis_of_the_jet_is_not_slowed():
    # the potential between the plates, along a way through the fringe from far away
    z = np.linspace(-15e-3, 15e-3, 30_001)
    along = plate_field(z, np.zeros_like(z), **EDGES)[1]
    assert abs(np.trapezoid(along, z)) < 1e-11  # m of the full field


def test_the_field_of_the_plates_is_the_hyperbolic_tangent_of_complex_numbers():
    # numpy's tanh of complex numbers; far from the plates too, where exponentials run away
    z, y = np.meshgrid(np.linspace(-0.5, 0.5, 201), np.linspace(-0.4e-3, 2e-3, 7))
    t = 1j * (y - 0.8e-3) / 1e-3
    into, out = np.tanh((z - 5e-3) / 1e-3 + t), np.tanh((z - 25e-3) / 1e-3 + t)
    wanted = (into - out + 0.8j * (out**2 - into**2)) / 2
    across, along = plate_field(z, y, **EDGES)
    assert across == pytest.approx(wanted.real, abs=1e-12)
    assert along == pytest.approx(wanted.imag, abs=1e-12)


def drops(number, count=20, patterns=3):
    rng = np.random.default_rng(number)
    z = np.cumsum(rng.uniform(1e-4, 4e-4, (count, patterns)), axis=0)
    return z, rng.uniform(0, 3e-3, z.shape), rng.uniform(-1e-12, 3e-12, z.shape)


def forces(z, y, q, contact_m):
    return [q * pull for pull in repulsion(z, y, z, y, q, np.full(z.shape[1], contact_m))]


def test_repulsion_keeps_momentum():
    # Newton's third law: the forces of all pairs add up to nothing
    for force in forces(*drops(1), contact_m=1e-5):
        assert np.abs(force.sum(axis=0)).max() < 1e-9 * np.abs(force).sum(axis=0).min()


def test_repulsion_pair_by_pair():
    # Coulomb's law summed in plain loops, 8.9875517923e9 N m2/C2 (CODATA 2018)
    z, y, q = drops(2, count=6, patterns=1)
    expected = np.zeros((2, 6))
    for i in range(6):
        for j in set(range(6)) - {i}:
            away = np.array((z[i, 0] - z[j, 0], y[i, 0] - y[j, 0]))
            size = 8.9875517923e9 * q[i, 0] * q[j, 0] / (away @ away)
            expected[:, i] += size * away / np.sqrt(away @ away)
    assert np.array(forces(z, y, q, 1e-6))[:, :, 0] == pytest.approx(expected, rel=1e-8)


def test_the_pulls_of_parts_add_up():
    # superposition
    z, y, q = drops(3)
    contact = np.full(3, 1e-5)
    whole = repulsion(z, y, z, y, q, contact)
    parts = [repulsion(z, y, z[s], y[s], q[s], contact) for s in (slice(0, 7), slice(7, 20))]
    for direction in (0, 1):
        total = parts[0][direction] + parts[1][direction]
        assert total == pytest.approx(whole[direction], rel=1e-7)


def test_touching_drops_repel_with_finite_force():
    z = np.array([[0.0], [1e-9]])
    force = forces(z, 0 * z, np.full((2, 1), 1e-12), 1e-4)[0]
    assert np.abs(force).max() < 1e-9


@pytest.mark.parametrize(
    ("bore_um", "wavelength_um", "expected"),
    [
        (600, 200, (0.102, 0.019, 0.004)),
        (800, 274, (0.101, 0.018, 0.004)),
        (700, 360, (0.064, 0.006, 0.0006)),
    ],
)
def test_induction_in_a_tunnel(bore_um, wavelength_um, expected):
    # an axisymmetric boundary-element model of a jet and its drops in a tunnel, computed
    got = tunnel_induction(bore_um * 1e-6, wavelength_um * 1e-6, 3)
    assert got == pytest.approx(expected, abs=0.002)

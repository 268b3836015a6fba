"""The jet and its liquids against published values."""

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.special import jn_zeros

from rasterc.head.breakup import (
    UNDRIVEN_M,
    breakup_time_s,
    growth_rate_per_s,
    ohnesorge,
    viscous_growth_per_s,
    viscous_optimum_m,
)
from rasterc.head.liquids import (
    LIQUIDS,
    density_kg_m3,
    surface_tension_n_m,
    vapour_pressure_kpa,
    viscosity_mpa_s,
)
from rasterc.head.nozzle import drop_slowing_m_s, nozzle_friction_pa, relaxed_jet
from rasterc.head.phase import RADIAL_ROOT

JET_M, DENSITY, TENSION = 55e-6, 880.0, 0.0245


@pytest.mark.parametrize(
    ("viscosity_mpa", "growth", "diameters"),
    [(1, 11_900, 4.63), (3.5, 9_913, 5.08), (5, 9_011, 5.32), (30, 3_580, 8.45)],
)
def test_weber_by_viscosity(viscosity_mpa, growth, diameters):
    # Weber 1931: fastest growth and its wavelength, computed from his relation outside this project
    jet = (JET_M, DENSITY, TENSION, viscosity_mpa * 1e-3)
    best = minimize_scalar(
        lambda w: -viscous_growth_per_s(w * JET_M, *jet),
        bounds=(3.2, 20),
        options={"xatol": 1e-9},
    )
    assert -best.fun == pytest.approx(growth, rel=1e-4)
    assert best.x == pytest.approx(diameters, abs=5e-3)
    # and his formula for that wavelength
    oh = ohnesorge(JET_M, DENSITY, TENSION, viscosity_mpa * 1e-3)
    assert viscous_optimum_m(1.0, oh) == pytest.approx(best.x, rel=1e-6)


def test_weber_without_viscosity_is_near_rayleigh():
    # long waves: the two relations meet as the wavelength grows
    for ratio, within in ((4.508, 0.03), (10, 0.013), (40, 0.001)):
        inviscid = growth_rate_per_s(ratio * JET_M, JET_M, DENSITY, TENSION)
        weber = viscous_growth_per_s(ratio * JET_M, JET_M, DENSITY, TENSION, 0.0)
        assert weber == pytest.approx(inviscid, rel=within)


def test_thick_jets_grow_as_threads_of_syrup():
    # Rayleigh 1892, viscosity alone, long waves: growth g / (6 mu a) (from memory)
    growth = viscous_growth_per_s(1e4 * JET_M, JET_M, DENSITY, TENSION, 1e4)
    assert growth == pytest.approx(TENSION / (6 * 1e4 * JET_M / 2), rel=1e-4)


def test_length_of_the_unbroken_jet():
    # at 20 m/s and 3.5 mPa s: 9.3 mm driven by 1 %, 25 mm undriven with the 1 Angstrom of Kooij
    # and others 2024 (arXiv 2412.15974, abstract read); both computed outside this project
    growth = viscous_growth_per_s(5.075 * JET_M, JET_M, DENSITY, TENSION, 3.5e-3)
    assert 20 * breakup_time_s(growth, 0.01) == pytest.approx(9.3e-3, abs=5e-5)
    assert 20 * breakup_time_s(growth, 2 * UNDRIVEN_M / JET_M) == pytest.approx(25e-3, rel=0.015)


def test_drops_are_slower_than_their_jet():
    # 2 g / (rho d v): 0.25 % for 55 um at 20 m/s (computed; Pimbley 1976, abstract read)
    slower = drop_slowing_m_s(20, 55e-6, 900, 0.025)
    assert slower / 20 == pytest.approx(0.0025, rel=0.02)


def test_a_parabolic_profile_relaxes():
    # Harmon 1955 (from memory): 0.866 of the diameter, 4/3 of the speed
    assert relaxed_jet(1.0, 1.0, developed=True) == pytest.approx((0.866, 4 / 3), rel=1e-4)
    diameter, speed = relaxed_jet(1.0, 1.0, developed=True)
    assert diameter**2 * speed == pytest.approx(1)  # the same volume


def test_friction_of_long_and_of_short_bores():
    # Hagen and Poiseuille: 32 mu l v / d^2; developing adds 1.25 velocity heads (Shah and London)
    bore = {"speed_m_s": 2.0, "nozzle_m": 50e-6, "density_kg_m3": 900, "viscosity_pa_s": 5e-3}
    head = 900 * 2.0**2 / 2
    long = nozzle_friction_pa(length_m=0.1, **bore)
    assert long == pytest.approx(32 * 5e-3 * 0.1 * 2 / 50e-6**2 + 1.25 * head, rel=1e-6)
    # a short bore is a plate for its boundary layer: f Re = 3.44 / s, textbook
    length = 1e-9
    re = 900 * 2 * 50e-6 / 5e-3
    short = nozzle_friction_pa(length_m=length, **bore)
    assert short == pytest.approx(4 * 3.44 * np.sqrt(length / 50e-6 / re) * head, rel=1e-3)


def test_the_field_in_a_tube_fades_by_a_bessel_root():
    assert pytest.approx(jn_zeros(0, 1)[0]) == RADIAL_ROOT


# Perry's 8th edition and Jasper 1972 by the open package chemicals 1.5.2, computed outside:
# mPa s at 5, 10, 20, 30, 40 degrees C; mN/m as a - b t; kPa at 10, 20, 30, 40; kg/m3 at 20
TABLE = {
    "butanone": (
        (0.496, 0.468, 0.417, 0.374, 0.337), (26.77, 0.1122), (5.82, 9.69, 15.5, 24.0), 804.9,
    ),
    "acetone": (
        (0.377, 0.357, 0.322, 0.293, 0.268), (26.26, 0.112), (15.5, 24.7, 38.0, 56.5), 792.2,
    ),
    "ethanol": (
        (1.607, 1.449, 1.186, 0.981, 0.818), (24.05, 0.0832), (3.15, 5.90, 10.5, 18.0), 790.3,
    ),
    "2-propanol": (
        (3.854, 3.265, 2.381, 1.771, 1.341), (22.90, 0.0789), (2.23, 4.39, 8.17, 14.5), 786.7,
    ),
    "cyclohexanone": (
        (3.126, 2.779, 2.232, 1.828, 1.525), (37.67, 0.1242), (0.21, 0.40, 0.75, 1.31), 947.0,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", TABLE)
def test_liquids(name):
    viscosities, (a, b), pressures, density = TABLE[name]
    liquid = LIQUIDS[name]
    found = [viscosity_mpa_s(liquid, t) for t in (5, 10, 20, 30, 40)]
    assert found == pytest.approx(viscosities, abs=1.1e-3)
    assert surface_tension_n_m(liquid, 30) * 1e3 == pytest.approx(a - b * 30, abs=1e-9)
    found = [vapour_pressure_kpa(liquid, t) for t in (10, 20, 30, 40)]
    assert found == pytest.approx(pressures, rel=4e-3, abs=0.006)
    assert density_kg_m3(liquid, 20) == pytest.approx(density, abs=0.06)


def test_every_solvent_of_a_profile_is_known():
    from rasterc.profile.flight import Solvent

    assert {str(solvent) for solvent in Solvent} == set(LIQUIDS)

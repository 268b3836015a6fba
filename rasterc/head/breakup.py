"""From the jet to the drop: breakup, size, and the numbers that say what kind of jet it is."""

from __future__ import annotations

from math import inf, log, pi, sqrt


def drop_spacing_m(jet_speed_m_s: float, drop_frequency_hz: float) -> float:
    """Wavelength of the disturbance, and distance between two drops as they form: v / f.

    >>> round(drop_spacing_m(20, 73_900) * 1e6, 1)
    270.6
    """
    return jet_speed_m_s / drop_frequency_hz


def growth_rate_per_s(
    wavelength_m: float, jet_diameter_m: float, density_kg_m3: float, surface_tension_n_m: float
) -> float:
    """Growth rate of a disturbance on an inviscid jet: how fast a wavelength breaks it up.

    w^2 = g / (rho a^3) * x (1 - x^2) I1(x) / I0(x), with x = 2 pi a / wavelength and jet radius a.
    Zero for wavelengths below pi jet diameters, which do not grow. Fastest at x = 0.69702, a
    wavelength of 4.508 jet diameters. Valid for small disturbances of a jet of low viscosity
    (Ohnesorge number well below 1) in a light gas.

    Source: Rayleigh, On the instability of jets, Proc. London Math. Soc. 10 (1878), 4-13.

    >>> jet = dict(jet_diameter_m=60e-6, density_kg_m3=900, surface_tension_n_m=0.025)
    >>> round(growth_rate_per_s(4.508 * 60e-6, **jet))
    11013
    >>> growth_rate_per_s(3 * 60e-6, **jet)
    0.0
    """
    radius = jet_diameter_m / 2
    x = 2 * pi * radius / wavelength_m
    if x >= 1:
        return 0.0
    scale = surface_tension_n_m / (density_kg_m3 * radius**3)
    return sqrt(scale * x * (1 - x * x) * _bessel_ratio(x))


def _bessel_ratio(x: float) -> float:
    """I1(x) / I0(x) by their power series, for 0 <= x <= 1."""
    i0 = i1 = 0.0
    term = 1.0
    for k in range(12):
        i0 += term
        i1 += term * x / 2 / (k + 1)
        term *= (x / 2) ** 2 / (k + 1) ** 2
    return i1 / i0


def viscous_optimum_m(jet_diameter_m: float, ohnesorge: float) -> float:
    """Wavelength that breaks up a viscous jet fastest: sqrt(2) pi d sqrt(1 + 3 Oh).

    A long-wave approximation: at Oh = 0 it gives 4.443 diameters where Rayleigh's full relation
    gives 4.508. Source: Weber, Zum Zerfall eines Fluessigkeitsstrahles, ZAMM 11 (1931), 136-154.

    >>> round(viscous_optimum_m(60e-6, 0.1) * 1e6, 1)
    303.9
    """
    return sqrt(2) * pi * jet_diameter_m * sqrt(1 + 3 * ohnesorge)


def viscous_growth_per_s(
    wavelength_m: float,
    jet_diameter_m: float,
    density_kg_m3: float,
    surface_tension_n_m: float,
    viscosity_pa_s: float,
) -> float:
    """Growth rate of a long disturbance on a viscous jet; 0 for wavelengths below pi diameters.

    w^2 + 3 nu x^2 / a^2 w = g / (2 rho a^3) x^2 (1 - x^2), x = 2 pi a / wavelength, jet radius a.
    A long-wave approximation for small disturbances in a light gas: without viscosity 3 % above
    Rayleigh's fastest rate, and closer for longer waves. Good at any Ohnesorge number.

    Source: Weber, Zum Zerfall eines Fluessigkeitsstrahles, ZAMM 11 (1931), 136-154 (from memory).

    >>> round(viscous_growth_per_s(4.984 * 55e-6, 55e-6, 880, 0.0245, 3.5e-3))
    9908
    """
    radius = jet_diameter_m / 2
    x2 = (2 * pi * radius / wavelength_m) ** 2
    if x2 >= 1:
        return 0.0
    damping = 1.5 * viscosity_pa_s / density_kg_m3 * x2 / radius**2
    drive = surface_tension_n_m / (2 * density_kg_m3 * radius**3) * x2 * (1 - x2)
    return drive / (damping + sqrt(damping**2 + drive))  # the root, safe from cancellation


def breakup_time_s(growth_per_s: float, modulation: float) -> float:
    """Time from nozzle to breakup: ln(1 / modulation) / growth; infinite if nothing grows.

    ``modulation`` is the height of the disturbance at the nozzle as a part of the jet's radius.
    Linear growth up to the end: the last tenth of the radius goes somewhat otherwise. Times the
    jet's speed it is the length of the unbroken jet.

    Source: Weber 1931, as above.

    >>> round(20 * breakup_time_s(9913, 0.01) * 1e3, 1)
    9.3
    """
    return log(1 / modulation) / growth_per_s if growth_per_s > 0 else inf


UNDRIVEN_M = 1e-10
"""Disturbance of a jet that nothing drives, whatever its nozzle: about 1 Angstrom.

Source: Kooij and others 2024 (arXiv 2412.15974; abstract read).
"""


def gas_weber_bound(ohnesorge: float) -> float:
    """Gas Weber number rho_air v^2 d / g from which wind takes part in breakup: 1.2 + 3.41 Oh^0.9.

    Source: Sterling and Sleicher, The instability of capillary jets, J. Fluid Mech. 68 (1975),
    477-495 (from memory).

    >>> round(gas_weber_bound(0.1), 2)
    1.63
    """
    return float(1.2 + 3.41 * ohnesorge**0.9)


def drop_diameter_m(jet_diameter_m: float, wavelength_m: float) -> float:
    """Diameter of a drop that holds one wavelength of jet: (3/2 d^2 wavelength)^(1/3).

    Conservation of volume: pi/6 D^3 = pi/4 d^2 wavelength. At Rayleigh's optimum D = 1.891 d.
    Satellite drops are taken to have merged back.

    >>> round(drop_diameter_m(60e-6, 270.6e-6) * 1e6, 1)
    113.5
    """
    return float((1.5 * jet_diameter_m**2 * wavelength_m) ** (1 / 3))


def sphere_mass_kg(diameter_m: float, density_kg_m3: float) -> float:
    """Mass of a drop: pi/6 D^3 rho.

    >>> f"{sphere_mass_kg(113.5e-6, 900):.3g}"
    '6.89e-10'
    """
    return pi / 6 * diameter_m**3 * density_kg_m3


def weber(
    speed_m_s: float, diameter_m: float, density_kg_m3: float, surface_tension_n_m: float
) -> float:
    """Weber number, inertia against surface tension: rho v^2 d / g.

    >>> round(weber(20, 60e-6, 900, 0.025))
    864
    """
    return density_kg_m3 * speed_m_s**2 * diameter_m / surface_tension_n_m


def ohnesorge(
    diameter_m: float, density_kg_m3: float, surface_tension_n_m: float, viscosity_pa_s: float
) -> float:
    """Ohnesorge number, viscosity against inertia and surface tension: mu / sqrt(rho g d).

    >>> round(ohnesorge(60e-6, 900, 0.025, 3.5e-3), 4)
    0.0953
    """
    return viscosity_pa_s / sqrt(density_kg_m3 * surface_tension_n_m * diameter_m)


def reynolds(
    speed_m_s: float, diameter_m: float, density_kg_m3: float, viscosity_pa_s: float
) -> float:
    """Reynolds number, inertia against viscosity: rho v d / mu.

    >>> round(reynolds(20, 113e-6, 1.204, 18.2e-6), 1)
    149.5
    """
    return density_kg_m3 * speed_m_s * diameter_m / viscosity_pa_s

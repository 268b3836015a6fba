"""Solvents of inks: viscosity, surface tension, density and vapour pressure by temperature.

Coefficients: Perry's Chemical Engineers' Handbook, 8th edition (2008), tables 2-8, 2-32 and 2-313,
and for surface tension Jasper, The surface tension of pure liquid compounds, J. Phys. Chem. Ref.
Data 1 (1972), 841-1009; both as carried by the open package chemicals 1.5.2, not read in the books.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

ZERO_C_K = 273.15
COLDEST_C, HOTTEST_C = -10.0, 60.0  # where inks are used; the laws hold further


@dataclass(frozen=True, slots=True)
class Liquid:
    """A pure liquid: molar mass in kg/kmol, and the coefficients of the laws below."""

    name: str
    molar_mass: float
    viscosity: tuple[float, float, float]
    tension: tuple[float, float]
    density: tuple[float, float, float, float]
    vapour: tuple[float, float, float, float, float]


LIQUIDS = {
    liquid.name: liquid
    for liquid in (
        Liquid(
            "butanone", 72.106, (-1.0598, 520.68, -1.4961), (26.77, 0.1122),
            (0.93767, 0.25035, 535.5, 0.29964), (72.698, -6143.6, -7.5779, 5.6476e-06, 2),
        ),
        Liquid(
            "acetone", 58.079, (-14.918, 1023.4, 0.5961), (26.26, 0.112),
            (1.2332, 0.25886, 508.2, 0.2913), (69.006, -5599.6, -7.0985, 6.2237e-06, 2),
        ),
        Liquid(
            "ethanol", 46.068, (7.875, 781.98, -3.0418), (24.05, 0.0832),
            (1.6288, 0.27469, 514.0, 0.23178), (73.304, -7122.3, -7.1424, 2.8853e-06, 2),
        ),
        Liquid(
            "2-propanol", 60.095, (-8.8918, 2357.6, -0.91376), (22.9, 0.0789),
            (1.1799, 0.2644, 508.3, 0.24653), (96.094, -8575.4, -10.292, 1.6665e-17, 6),
        ),
        Liquid(
            "cyclohexanone", 98.143, (-44.877, 3227.7, 4.887), (37.67, 0.1242),
            (0.86464, 0.26888, 653.0, 0.29943), (85.424, -7944.4, -9.2862, 4.9957e-06, 2),
        ),
    )
}  # fmt: skip


def viscosity_mpa_s(liquid: Liquid, temperature_c: float) -> float:
    """Viscosity of a liquid: ln mu = C1 + C2 / T + C3 ln T, in Pa s and K.

    Source: Perry 8th ed., table 2-313 (see above). Valid from the melting to the boiling point.

    >>> [round(viscosity_mpa_s(LIQUIDS["butanone"], t), 3) for t in (5, 20, 40)]
    [0.496, 0.417, 0.337]
    """
    c1, c2, c3 = liquid.viscosity
    kelvin = temperature_c + ZERO_C_K
    return 1e3 * exp(c1 + c2 / kelvin + c3 * log(kelvin))


def surface_tension_n_m(liquid: Liquid, temperature_c: float) -> float:
    """Surface tension of a liquid in air: a - b t, in mN/m and degrees C.

    Source: Jasper 1972 (see above). Valid from the melting to the boiling point.

    >>> round(surface_tension_n_m(LIQUIDS["ethanol"], 20), 5)
    0.02239
    """
    a, b = liquid.tension
    return (a - b * temperature_c) * 1e-3


def density_kg_m3(liquid: Liquid, temperature_c: float) -> float:
    """Density of a liquid: M C1 / C2^(1 + (1 - T / C3)^C4), C1 in kmol/m3, T in K.

    Source: Perry 8th ed., table 2-32 (see above). Valid from the melting to the critical point.

    >>> round(density_kg_m3(LIQUIDS["butanone"], 20), 1)
    804.9
    """
    c1, c2, critical_k, power = liquid.density
    fill = 1 + (1 - (temperature_c + ZERO_C_K) / critical_k) ** power
    return float(liquid.molar_mass * c1 / c2**fill)


def vapour_pressure_kpa(liquid: Liquid, temperature_c: float) -> float:
    """Vapour pressure of a liquid: ln p = C1 + C2 / T + C3 ln T + C4 T^C5, in Pa and K.

    Source: Perry 8th ed., table 2-8 (see above). Valid from the melting to the critical point.

    >>> round(vapour_pressure_kpa(LIQUIDS["butanone"], 20), 2)
    9.69
    """
    c1, c2, c3, c4, c5 = liquid.vapour
    kelvin = temperature_c + ZERO_C_K
    return 1e-3 * exp(c1 + c2 / kelvin + c3 * log(kelvin) + c4 * kelvin**c5)


def mixed_viscosity_mpa_s(
    first_mpa_s: float, second_mpa_s: float, second_part: float, interaction: float = 0.0
) -> float:
    """Viscosity of two liquids together: ln mu = (1 - x) ln mu1 + x ln mu2 + x (1 - x) G.

    x is the mole fraction of the second. The interaction G is fitted to measurements of the pair:
    near 0 for liquids alike, of the order of 1 where they bind to each other. Ethanol and water
    need a table: fitted models are off by 10 %.

    Source: Grunberg and Nissan, Mixture law for viscosity, Nature 164 (1949), 799-800 (from
    memory); the warning is from an abstract read (Khattab and others 2012).

    >>> round(mixed_viscosity_mpa_s(3.5, 0.417, 0.1), 3)
    2.829
    """
    mean = (1 - second_part) * log(first_mpa_s) + second_part * log(second_mpa_s)
    return exp(mean + interaction * second_part * (1 - second_part))

"""The nozzle: jet speed from pressure, the width of the jet, and the drop's speed."""

from __future__ import annotations

from math import sqrt


def jet_pressure_pa(
    speed_m_s: float,
    jet_diameter_m: float,
    density_kg_m3: float,
    surface_tension_n_m: float,
    friction_pa: float = 0.0,
    loss: float = 0.0,
) -> float:
    """Pressure above that of the air which throws a jet: rho v^2 / 2 (1 + loss) + friction + 2 g/d.

    The last is the pressure inside a round jet. ``loss`` stands for filters, pipes and the entry
    of the nozzle, in velocity heads. Source: Bernoulli's and Laplace's laws.

    >>> round(jet_pressure_pa(20, 55e-6, 900, 0.025) / 1e3, 1)
    180.9
    """
    return density_kg_m3 * speed_m_s**2 / 2 * (1 + loss) + (
        friction_pa + 2 * surface_tension_n_m / jet_diameter_m
    )


def nozzle_friction_pa(
    speed_m_s: float,
    nozzle_m: float,
    length_m: float,
    density_kg_m3: float,
    viscosity_pa_s: float,
) -> float:
    """Pressure lost along a round bore, above Bernoulli's: 2 f l / d rho v^2, v the mean speed.

    f Re = 3.44 / s + (16 + 1.25 / (4 s^2) - 3.44 / s) / (1 + 0.00021 / s^4) with s^2 = l / (d Re):
    the apparent friction factor of a laminar flow that enters with a flat profile, which holds the
    growth of the profile's energy too. Valid for Re below about 2300, at any length.

    Source: Shah and London, Laminar Flow Forced Convection in Ducts (1978), chapter V (from
    memory). Long bores: Hagen and Poiseuille's 32 mu l v / d^2.

    >>> round(nozzle_friction_pa(20, 55e-6, 55e-6, 900, 3.5e-3) / 1e3)
    154
    """
    re = density_kg_m3 * speed_m_s * nozzle_m / viscosity_pa_s
    s = sqrt(length_m / nozzle_m / re)
    if s == 0:
        return 0.0
    start = 3.44 / s
    factor = (start + (16 + 0.3125 / s**2 - start) / (1 + 0.00021 / s**4)) / re
    return 2 * factor * length_m / nozzle_m * density_kg_m3 * speed_m_s**2


def relaxed_jet(nozzle_m: float, mean_speed_m_s: float, developed: bool) -> tuple[float, float]:
    """Diameter and speed of the jet once its profile has become flat.

    A flat profile leaves as it is; a parabolic one (a long bore) keeps its momentum, 4/3 of that
    of a flat one, and narrows to sqrt(3)/2 of the nozzle at 4/3 of the mean speed. Short bores lie
    between: how far is not told here.

    Source: momentum; Harmon, Drop sizes from low speed jets, J. Franklin Inst. 259 (1955), 519-522
    (from memory).

    >>> [round(value, 3) for value in relaxed_jet(1.0, 3.0, True)]
    [0.866, 4.0]
    """
    return (nozzle_m * sqrt(3) / 2, mean_speed_m_s * 4 / 3) if developed else (
        nozzle_m, mean_speed_m_s
    )  # fmt: skip


def drop_slowing_m_s(
    jet_speed_m_s: float, jet_diameter_m: float, density_kg_m3: float, surface_tension_n_m: float
) -> float:
    """How much slower a drop flies than its jet: 2 g / (rho d v).

    Momentum: the jet's surface pulls it back with pi d g, less the pressure pi d g / 2 inside it,
    so that each second's mass rho pi d^2 v / 4 leaves with that much less. The air is left out.

    Source: Schneider and others, J. Appl. Phys. 38 (1967); Pimbley, IBM J. R&D 20 (1976), 148
    (abstract read).

    >>> round(drop_slowing_m_s(20, 55e-6, 900, 0.025), 3)
    0.051
    """
    return 2 * surface_tension_n_m / (density_kg_m3 * jet_diameter_m * jet_speed_m_s)

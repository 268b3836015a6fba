"""Drag of the air on a drop alone; `wake` has what drops flying ahead spare it."""

from __future__ import annotations

from math import pi, sqrt

from rasterc.head.arrays import Number

GRAVITY_M_S2 = 9.80665  # standard gravity, ISO 80000-3


def drag_coefficient(reynolds: Number) -> Number:
    """Drag coefficient of a sphere: 24 / Re (1 + 0.15 Re^0.687), for 0 < Re < 1000.

    Source: Schiller and Naumann, Ueber die grundlegenden Berechnungen bei der
    Schwerkraftaufbereitung, VDI-Zeitschrift 77 (1933), 318-320. Within 10 % of measured spheres.

    >>> [round(drag_coefficient(re), 4) for re in (1.0, 100.0, 1000.0)]
    [27.6, 1.0917, 0.4383]
    """
    drag: Number = 24 / reynolds * (1 + 0.15 * reynolds**0.687)
    return drag


def drag_rate_per_s(
    speed_m_s: Number,
    diameter_m: float,
    mass_kg: float,
    density_kg_m3: float,
    viscosity_pa_s: float,
) -> Number:
    """Deceleration / speed of drops in still air: 3 pi mu D / m (1 + 0.15 Re^0.687).

    The same as 1/2 rho v^2 A Cd / (m v) with `drag_coefficient`, written so that it holds at rest
    too, where it is Stokes' law. Air density and viscosity are those of the air.

    >>> round(drag_rate_per_s(20.0, 113e-6, 6.9e-10, 1.204, 18.2e-6), 1)
    159.5
    """
    reynolds = speed_m_s * (density_kg_m3 * diameter_m / viscosity_pa_s)
    rate: Number = (3 * pi * viscosity_pa_s * diameter_m / mass_kg) * (1 + 0.15 * reynolds**0.687)
    return rate


def terminal_speed_m_s(
    diameter_m: float,
    density_kg_m3: float = 998.2,
    air_density_kg_m3: float = 1.204,
    air_viscosity_pa_s: float = 18.2e-6,
) -> float:
    """Speed at which a drop falls through still air: drag = weight less buoyancy.

    Solves 3 pi mu D v (1 + 0.15 Re^0.687) = pi/6 D^3 (rho - rho_air) g by Newton's method. The
    defaults are water in air at 20 degrees C. Drops above about 1 mm flatten and fall slower.

    >>> round(terminal_speed_m_s(0.5e-3), 2)
    2.02
    """
    per_speed = air_density_kg_m3 * diameter_m / air_viscosity_pa_s
    stokes = diameter_m**2 * (density_kg_m3 - air_density_kg_m3) * GRAVITY_M_S2
    stokes /= 18 * air_viscosity_pa_s
    speed = stokes / (1 + 0.15 * sqrt(stokes * per_speed))
    for _ in range(50):
        bulge = 0.15 * (speed * per_speed) ** 0.687
        speed -= (speed * (1 + bulge) - stokes) / (1 + 1.687 * bulge)
    return float(speed)

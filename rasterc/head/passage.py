"""A drop on its own way to the product: what the air takes, what weight and a draught do.

Drops of a stream shield each other and lose less: for them these are upper bounds.
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from rasterc.head.air import GRAVITY_M_S2, drag_rate_per_s
from rasterc.head.model import HeadModel

STEPS = 400
SAKIADIS = 2.286
"""Integral of eta f' over the laminar layer on a moving surface; computed from f''' + f f''/2 = 0.

Source of the layer: Sakiadis, Boundary-layer behavior on continuous solid surfaces, AIChE J. 7
(1961), 221-225 (from memory).
"""


def drag_rate(head: HeadModel, speed_m_s: float) -> float:
    """Deceleration of a head's drop over its speed, per second, alone in still air."""
    return drag_rate_per_s(
        speed_m_s, head.drop_diameter_m, head.drop_mass_kg,
        head.air_density_kg_m3, head.air_viscosity_pa_s,
    )  # fmt: skip


def lone_flight(head: HeadModel, speed_m_s: float, way_m: float) -> tuple[float, float]:
    """Speed after a way, and the time it takes: dv/dz = -k(v), k by Schiller and Naumann.

    The midpoint rule over equal pieces of the way. Speed 0 and an endless time for a drop that the
    air stops.
    """
    dz, speed, time = way_m / STEPS, speed_m_s, 0.0
    for _ in range(STEPS):
        halfway = speed - dz / 2 * drag_rate(head, speed)
        slower = speed - dz * drag_rate(head, max(halfway, 0.0))
        if halfway <= 0 or slower <= 0:
            return 0.0, inf
        time += dz * 2 / (speed + slower)
        speed = slower
    return speed, time


def laminar_drift_m(
    drag_rate_per_s: float, air_viscosity_m2_s: float, moving_m: float, drop_speed_m_s: float
) -> float:
    """How far the laminar layer on a product carries a drop along: 2.286 k nu L / v^2.

    k is the drop's drag rate, L the length of moving surface ahead of the place. Independent of the
    product's speed: a faster one drags a thinner layer. The least there can be in still air.

    Source: `SAKIADIS`; the drop crosses the layer at its speed and takes up k u of the air's.

    >>> round(laminar_drift_m(160, 1.51e-5, 0.3, 20) * 1e6, 1)
    4.1
    """
    return SAKIADIS * drag_rate_per_s * air_viscosity_m2_s * moving_m / drop_speed_m_s**2


def gap_drift_m(
    drag_rate_per_s: float, product_speed_m_s: float, throw_m: float, drop_speed_m_s: float
) -> float:
    """How far air that is dragged along in the whole gap carries a drop: k U s^2 / (4 v^2).

    The core of a turbulent Couette flow between head and product goes at half the product's speed
    U (symmetry, textbook). The most there can be, unless a fan blows; drops that move much slower
    along than the air.

    >>> round(gap_drift_m(160, 1.0, 15e-3, 20) * 1e6, 1)
    22.5
    """
    return drag_rate_per_s * product_speed_m_s * throw_m**2 / (4 * drop_speed_m_s**2)


def weight_m(flight_s: float) -> float:
    """How far a drop falls in flight, no air: g t^2 / 2. The same for all drops of a code.

    >>> round(weight_m(2.5e-3) * 1e6, 1)
    30.6
    """
    return GRAVITY_M_S2 * flight_s**2 / 2


def carried_m(
    head: HeadModel, speed_m_s: float, throw_m: float, air_m_s: Callable[[float], float]
) -> float:
    """How far air moving along the product carries a drop over the throw, by steps.

    ``air_m_s`` gives the air's speed at a height above the product. What the formulas above leave
    out is in it: the drop slows down, and takes on the air's speed.
    """
    dz, speed, along, aside = throw_m / STEPS, speed_m_s, 0.0, 0.0
    for step in range(STEPS):
        rate, height = drag_rate(head, speed), throw_m - (step + 0.5) * dz
        time = dz / speed
        gain = rate * (air_m_s(height) - aside) * time
        along += (aside + gain / 2) * time
        aside += gain
        speed -= rate * dz
    return along

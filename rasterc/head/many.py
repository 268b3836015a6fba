"""The constants of many heads as arrays, so that patterns of different heads fly together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

import numpy as np

from rasterc.head.arrays import Floats
from rasterc.head.model import HeadModel


@dataclass(frozen=True, slots=True, eq=False)
class Constants:
    """What the flight of each pattern needs of its head; arrays of shape (patterns,), SI units.

    Attributes:
        period_s: drop period, the same for all.
        speed: speed of a drop as it forms.
        diameter, mass: of a drop.
        stokes: deceleration / speed by Stokes' law, 3 pi mu D / m.
        reynolds: Reynolds number of a drop / its speed.
        strength: of the wakes, a factor on their share.
        entry, exit, fringe, middle, field: of the plates.
    """

    period_s: float
    speed: Floats
    diameter: Floats
    mass: Floats
    stokes: Floats
    reynolds: Floats
    strength: Floats
    entry: Floats
    exit: Floats
    fringe: Floats
    middle: Floats
    field: Floats


def constants_of(heads: Sequence[HeadModel], wakes: Floats) -> Constants:
    """The constants of one head for each pattern; all heads have one drop frequency.

    Raises:
        ValueError: heads of different drop frequencies.
    """
    period_s = heads[0].period_s
    if any(head.period_s != period_s for head in heads):
        raise ValueError("heads of different drop frequencies cannot fly together")

    def each(name: str) -> Floats:
        return np.array([getattr(head, name) for head in heads], dtype=np.float64)

    diameter, viscosity = each("drop_diameter_m"), each("air_viscosity_pa_s")
    mass = each("drop_mass_kg")
    return Constants(
        period_s=period_s,
        speed=each("jet_speed_m_s"),
        diameter=diameter,
        mass=mass,
        stokes=3 * pi * viscosity * diameter / mass,
        reynolds=each("air_density_kg_m3") * diameter / viscosity,
        strength=wakes,
        entry=each("entry_m"),
        exit=each("exit_m"),
        fringe=each("fringe_m"),
        middle=each("middle_m"),
        field=each("field_v_m"),
    )

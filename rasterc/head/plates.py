"""The field of the deflection plates, and what it does to a drop alone."""

from __future__ import annotations

from math import pi

import numpy as np

from rasterc.head.arrays import Floats, Number


def fringe_length_m(gap_m: float) -> float:
    """Length over which the field fades at an end of the plates: gap / pi.

    So that inside the plates it approaches the full field as exp(-2 pi z / gap), the leading term
    of Maxwell's solution for the edge of two parallel plates (Treatise, 1873, art. 202; from
    memory). Outside, an edge without grounded shields fades more slowly: an assumption.

    >>> round(fringe_length_m(4e-3) * 1e3, 3)
    1.273
    """
    return gap_m / pi


def plate_field(
    z_m: Floats, y_m: Floats, entry_m: Number, exit_m: Number, fringe_m: Number
) -> tuple[Floats, Floats]:
    """Field across and along the plates as parts of the full field; y from the jet's axis.

    across = (tanh((z - entry) / w) - tanh((z - exit) / w)) / 2, whose integral is exactly the
    plate length; along = y d(across)/dz, which makes the field free of curl: a deflected drop
    pays back on leaving the plates the energy it gained. First order in y / w.

    >>> across, along = plate_field(np.array([15e-3]), np.array([1e-3]), 5e-3, 25e-3, 1e-3)
    >>> round(float(across[0]), 6), round(float(along[0]), 6)
    (1.0, 0.0)
    """
    into = np.tanh((z_m - entry_m) / fringe_m)
    out = np.tanh((z_m - exit_m) / fringe_m)
    across: Floats = (into - out) / 2
    along: Floats = y_m * (out * out - into * into) / (2 * fringe_m)
    return across, along


def deflection_m(
    charge_c: float,
    mass_kg: float,
    field_v_m: float,
    length_m: float,
    speed_m_s: float,
    throw_m: float = 0.0,
) -> float:
    """Deflection of a lone drop without air: q E L / (m v^2) (L / 2 + throw).

    Uniform field over the plate length, none outside; throw from the plate exit. Source: physics
    textbooks (an inkjet drop between plates is a stock exercise).

    >>> round(deflection_m(1.5e-13, 1.3e-10, 1.4e6, 0.016, 18) * 1e3, 2)
    0.64
    """
    sideways = charge_c * field_v_m * length_m / (mass_kg * speed_m_s**2)
    return sideways * (length_m / 2 + throw_m)

"""The field of the deflection plates, and what it does to a drop alone."""

from __future__ import annotations

from math import pi

import numpy as np

from rasterc.head.arrays import Floats, Number

ROUNDED = 1.25
"""Fringe length of rounded edges / that of sharp ones: an assumption."""
MOST_TURN = 2 * pi * 0.5 / ROUNDED
"""Twice the distance from the middle / fringe length, at the surface of a plate."""
NEAREST_JET_PART = 0.2
"""Of the gap: how near to a plate the jet is taken to be at most."""


def fringe_length_m(gap_m: float) -> float:
    """Length over which the field fades at an end of the plates: 1.25 gap / pi.

    With gap / pi the field between the plates approaches the full one as exp(-2 pi z / gap), the
    leading term of Maxwell's solution for the edge of two parallel plates (Treatise, 1873, art.
    202; from memory), and has no bounds at the edges. Edges of plates are rounded: a quarter more
    puts the place where it has none an eighth of the gap behind their surfaces. Outside, an edge
    without grounded shields fades more slowly: an assumption.

    >>> round(fringe_length_m(4e-3) * 1e3, 3)
    1.592
    """
    return ROUNDED * gap_m / pi


def middle_m(gap_m: float, clearance_m: float) -> float:
    """Deflection at which a drop is half-way between the plates.

    The other plate is `clearance_m` less the gap below the jet. Where that would be nearer than a
    fifth of the gap, the plates are taken to stand apart wider towards their end, and the jet to
    be a fifth of the gap away: an assumption.

    >>> middle_m(5e-3, 3e-3), middle_m(2e-3, 4e-3)
    (0.0005, 0.0006)
    """
    return min(clearance_m - gap_m / 2, (0.5 - NEAREST_JET_PART) * gap_m)


def plate_field(
    z_m: Floats, y_m: Floats, entry_m: Number, exit_m: Number, fringe_m: Number, middle_m: Number
) -> tuple[Floats, Floats]:
    """Field across and along the plates as parts of the full field; y from the jet's axis.

    f(z) = (tanh((z - entry) / w) - tanh((z - exit) / w)) / 2, whose integral is exactly the plate
    length, is the field in the middle between plates at opposite voltages. Elsewhere it is what f
    goes on to be where no charges are, of u = z + i (y - middle). To it comes the field of a
    voltage that both plates share, i middle f'(u), so that between them the jet's own axis is at
    the potential of its surroundings: a drop that flies along it is not slowed (an assumption;
    the profile does not say which plate is grounded). Across and along are the real and the
    imaginary part: free of curl and of sources to every order, since analytic functions are
    (Cauchy-Riemann; textbooks). A deflected drop pays back on leaving the energy it gained.

    Behind the surface of a plate the field is held at what it is there: what flies there has
    struck the plate.

    >>> across, along = plate_field(np.array([15e-3]), np.array([1e-3]), 5e-3, 25e-3, 1e-3, 0.0)
    >>> round(float(across[0]), 6), round(float(along[0]), 6)
    (1.0, 0.0)
    """
    turn = np.clip(2 * (y_m - middle_m) / fringe_m, -MOST_TURN, MOST_TURN)
    cos, sin = np.cos(turn), np.sin(turn)
    into, into_along = _edge((z_m - entry_m) / fringe_m, cos, sin)
    out, out_along = _edge((z_m - exit_m) / fringe_m, cos, sin)
    across, along = (into - out) / 2, (into_along - out_along) / 2
    shared = middle_m / fringe_m
    back, up = shared * (into + out), 1 + shared * (into_along + out_along)
    return across * up + along * back, along * up - across * back


def _edge(x: Floats, cos: Floats, sin: Floats) -> tuple[Floats, Floats]:
    """tanh(x + i t) by its parts, of cos 2t and sin 2t; nothing in it grows beyond bounds."""
    fades = np.exp(-2 * np.abs(x))
    below = 1 + fades * (2 * cos + fades)
    return np.copysign((1 - fades * fades) / below, x), 2 * fades * sin / below


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

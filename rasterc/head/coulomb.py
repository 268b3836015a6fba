"""Repulsion between charged drops in flight."""

from __future__ import annotations

from math import pi

import numpy as np

from rasterc.head.arrays import Floats
from rasterc.head.charging import VACUUM_PERMITTIVITY_F_M

COULOMB_N_M2_C2 = 1 / (4 * pi * VACUUM_PERMITTIVITY_F_M)


def coulomb_forces(
    z_m: Floats, y_m: Floats, charges_c: Floats, contact_m: float
) -> tuple[Floats, Floats]:
    """Forces (N) along z and y on every drop from all the others; arrays (patterns, drops).

    F = q1 q2 / (4 pi eps0 r^2) along the line between the drops. Drops nearer than ``contact_m``
    (a diameter: they touch) repel as if that far apart in r^3, so that a step through a merged
    pair stays finite. Image charges in the plates and the product are left out: between close
    plates the true force fades faster than this beyond about a third of the gap.

    Source: Coulomb's law.

    >>> z, y = np.array([[0.0, 1e-3]]), np.zeros((1, 2))
    >>> fz, fy = coulomb_forces(z, y, np.array([[1e-12, 1e-12]]), 1e-4)
    >>> [f"{f:.4g}" for f in fz[0]]
    ['-8.988e-09', '8.988e-09']
    """
    inverse = inverse_cubes(z_m, y_m, contact_m)
    # sum of q_j (z_i - z_j) / r^3 as z_i (W q)_i - (W q z)_i: three products for both directions
    terms = np.stack((charges_c, charges_c * z_m, charges_c * y_m), axis=-1)
    sums = inverse @ terms
    scale = COULOMB_N_M2_C2 * charges_c
    return (
        scale * (z_m * sums[..., 0] - sums[..., 1]),
        scale * (y_m * sums[..., 0] - sums[..., 2]),
    )


def inverse_cubes(z_m: Floats, y_m: Floats, contact_m: float) -> Floats:
    """1 / r^3 of every pair of drops, r at least ``contact_m``; 0 of a drop with itself.

    Shape (patterns, drops, drops).
    """
    squares = z_m[:, :, None] - z_m[:, None, :]
    squares *= squares
    across = y_m[:, :, None] - y_m[:, None, :]
    across *= across
    squares += across
    np.maximum(squares, contact_m**2, out=squares)
    np.sqrt(squares, out=across)
    squares *= across
    np.reciprocal(squares, out=squares)
    each = np.arange(z_m.shape[1])
    squares[:, each, each] = 0.0
    return squares


def forces_of_one(
    z_m: Floats, y_m: Floats, charges_c: Floats, one: int, contact_m: float
) -> tuple[Floats, Floats]:
    """Forces on every drop from drop ``one`` alone, and on it from all the others."""
    along = z_m - z_m[:, one : one + 1]
    across = y_m - y_m[:, one : one + 1]
    squares = np.maximum(along * along + across * across, contact_m**2)
    scale = COULOMB_N_M2_C2 * charges_c * charges_c[:, one : one + 1] / (squares * np.sqrt(squares))
    along *= scale
    across *= scale
    along[:, one] = -along.sum(axis=1)
    across[:, one] = -across.sum(axis=1)
    return along, across

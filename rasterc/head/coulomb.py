"""Repulsion between charged drops in flight."""

from __future__ import annotations

from math import pi

import numpy as np

from rasterc.head.arrays import Floats
from rasterc.head.charging import VACUUM_PERMITTIVITY_F_M

COULOMB_N_M2_C2 = 1 / (4 * pi * VACUUM_PERMITTIVITY_F_M)


def repulsion(
    z_m: Floats, y_m: Floats, from_z_m: Floats, from_y_m: Floats, charges_c: Floats,
    contact_m: Floats,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Force for each unit of charge (N/C) along z and y that charged drops bring to bear.

    E = q / (4 pi eps0 r^2) along the line between the drops. ``z_m`` and ``y_m`` are of shape
    (drops, patterns), ``from_z_m``, ``from_y_m`` and ``charges_c`` of shape (others, patterns),
    ``contact_m`` one for each pattern. Drops nearer than that (a diameter: they touch) repel as if
    that far apart in r^3, so that a step through a merged pair stays finite; a drop does nothing
    to itself. Image charges in the plates and the product are left out: between close plates the
    true force fades faster than this beyond about a third of the gap.

    Source: Coulomb's law.

    >>> z, y = np.array([[0.0], [1e-3]]), np.zeros((2, 1))
    >>> force = repulsion(z, y, z, y, np.full((2, 1), 1e-12), np.array([1e-4]))
    >>> [f"{1e-12 * f[0]:.4g}" for f in force[0]]
    ['-8.988e-09', '8.988e-09']
    """
    to_z, to_y, by_z, by_y, charge = (
        np.ascontiguousarray(a.T) for a in (z_m, y_m, from_z_m, from_y_m, charges_c)
    )
    squares = to_z[:, :, None] - by_z[:, None, :]
    squares *= squares
    cubes = to_y[:, :, None] - by_y[:, None, :]
    cubes *= cubes
    squares += cubes
    np.maximum(squares, (contact_m * contact_m)[:, None, None], out=squares)
    np.sqrt(squares, out=cubes)
    cubes *= squares
    np.reciprocal(cubes, out=cubes)
    # sum of q_j (z_i - z_j) / r^3 as z_i (W q)_i - (W q z)_i: three products for both directions
    sums = cubes @ np.stack((charge, charge * by_z, charge * by_y), axis=-1)
    along = to_z * sums[..., 0] - sums[..., 1]
    across = to_y * sums[..., 0] - sums[..., 2]
    return COULOMB_N_M2_C2 * along.T, COULOMB_N_M2_C2 * across.T

"""From electrode voltage to the charge of a drop, and how much charge a drop can hold."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log, pi, sqrt

import numpy as np

from rasterc.head.arrays import Floats, Ints

VACUUM_PERMITTIVITY_F_M = 8.8541878128e-12  # CODATA 2018


def charge_per_volt_c(
    jet_diameter_m: float, bore_m: float, wavelength_m: float, capacitance_factor: float = 1.0
) -> float:
    """Charge a drop takes for each volt of the electrode, no charged drops before it.

    c = factor * 2 pi eps0 * wavelength / ln(bore / d): the charge on one wavelength of a straight
    conductor of diameter d on the axis of a long tunnel. ``capacitance_factor`` allows for a
    short or open electrode and the necked shape of the jet. The conductor must charge much faster
    than a drop period.

    Source: capacitance of coaxial cylinders; the factor is an assumption of each profile.

    >>> f"{charge_per_volt_c(60e-6, 900e-6, 270.6e-6):.3g}"
    '5.56e-15'
    """
    return (
        capacitance_factor
        * 2
        * pi
        * VACUUM_PERMITTIVITY_F_M
        * wavelength_m
        / log(bore_m / jet_diameter_m)
    )


def tunnel_induction(bore_m: float, wavelength_m: float, drops: int = 4) -> tuple[float, ...]:
    """Parts of their charge that the drops before take from a drop as it forms in a tunnel.

    0.25 exp(-1.33 s) for the drop just before, each further one exp(-2.405 s) times as much, with
    s = wavelength / bore radius: the field of a charge on the axis of a conducting tube fades with
    the first zero of the Bessel function J0 (physics textbooks). The first part was fitted to a
    boundary-element model of three tunnels (s 0.67, 0.69, 1.03: 0.102, 0.101, 0.064), within 2 %.
    Valid for drops well inside a tunnel, s 0.5 to 1.2.

    >>> [round(part, 4) for part in tunnel_induction(800e-6, 274e-6, 3)]
    [0.1005, 0.0194, 0.0037]
    """
    spacing = 2 * wavelength_m / bore_m
    first = 0.25 * exp(-1.33 * spacing)
    return tuple(first * exp(-2.405 * spacing * nth) for nth in range(drops))


def charges_from_volts(volts: Floats, charge_per_volt: float, induction: Sequence[float]) -> Floats:
    """Charges (C) of drops thrown one after another at these voltages; shape (..., drops) both.

    q[k] = c V[k] - sum over j of a[j] q[k - j]: each charged drop just formed takes a part a[j]
    of its charge, with the other sign, from the j-th drop after it. Linear, as electrostatics is;
    the drops before the first carry no charge.

    Source: principle of superposition; the coefficients a are those of the profile.

    >>> charges_from_volts(np.array([100.0, 100.0, 0.0]), 5e-15, [0.1]) * 1e15
    array([500., 450., -45.])
    """
    alone = charge_per_volt * np.asarray(volts, dtype=np.float64)
    charges = alone
    for _ in range(alone.shape[-1]):  # each turn settles one drop more, and nears all the others
        last, charges = charges, alone.copy()
        for j, part in enumerate(induction, start=1):
            charges[..., j:] -= part * last[..., :-j]
        if np.array_equal(charges, last, equal_nan=True):
            break
    return charges


def volts_from_charges(
    charges: Floats, charge_per_volt: float, induction: Sequence[float]
) -> Floats:
    """Voltages that give these charges; the inverse of `charges_from_volts`, same shapes.

    A drop that is to carry no charge after charged ones needs some voltage too.

    >>> volts_from_charges(np.array([500e-15, 450e-15, 0.0]), 5e-15, [0.1])
    array([100., 100.,   9.])
    """
    volts = np.array(charges, dtype=np.float64)
    for j, part in enumerate(induction, start=1):
        volts[..., j:] += part * charges[..., :-j]
    return volts / charge_per_volt


def dac_codes(volts: Floats, min_v: float, max_v: float, dac_bits: int) -> Ints:
    """Nearest code of a converter with 2^bits even steps from ``min_v`` to ``max_v``; clipped.

    >>> dac_codes(np.array([-1.0, 0.0, 49.9, 100.0]), 0, 100, 8)
    array([  0,   0, 127, 255])
    """
    top = (1 << dac_bits) - 1
    codes = np.rint((volts - min_v) / (max_v - min_v) * top)
    return np.clip(codes, 0, top).astype(np.int64)


def dac_volts(codes: Ints, min_v: float, max_v: float, dac_bits: int) -> Floats:
    """The voltages of codes; the inverse of `dac_codes` up to half a step.

    >>> dac_volts(np.array([0, 255]), 0, 100, 8)
    array([  0., 100.])
    """
    step_v = (max_v - min_v) / ((1 << dac_bits) - 1)
    return min_v + codes.astype(np.float64) * step_v


def rayleigh_charge_c(diameter_m: float, surface_tension_n_m: float) -> float:
    """Charge at which a drop becomes unstable: 8 pi sqrt(eps0 g r^3).

    Source: Rayleigh, On the equilibrium of liquid conducting masses charged with electricity,
    Phil. Mag. 14 (1882), 184-186.

    >>> f"{rayleigh_charge_c(100e-6, 0.072):.4g}"
    '7.095e-12'
    """
    return 8 * pi * sqrt(VACUUM_PERMITTIVITY_F_M * surface_tension_n_m * (diameter_m / 2) ** 3)

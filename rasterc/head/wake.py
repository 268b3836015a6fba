"""The wakes of drops: how much of its drag a drop is spared by those that fly ahead of it.

Distances are in drop diameters, counted from centre to centre. The law was fitted to spheres in
tandem and in trains, computed with an axisymmetric Navier-Stokes solver at Reynolds numbers of 50,
100, 150 and 200 (within 0.023 for pairs from 1.1 to 15 diameters, 0.026 root mean square for
trains of eight). The drop ahead loses some drag too (7 % at 2.4 diameters, 2 % at 4): that is left
out, so that drops close up about 15 % too fast at 2.4 diameters.

How strong wakes really are is uncertain. Whatever is concluded must hold over `WAKE_BAND`, factors
on the share: at 0.75 a drop 1.5 diameters behind another at Re 100 has half its drag, the least
that Temkin and Ecker (J. Fluid Mech. 202, 1989; abstract) saw; at 1.1 it has what Zhu, Liang and
Fan (Int. J. Multiphase Flow 20, 1994; from memory) measured.
"""

from __future__ import annotations

import numpy as np

from rasterc.head.arrays import Floats, Number

WAKE_BAND = (0.75, 1.0, 1.1)
USUAL_WAKE = 1.0
MOST_WAKE = 1.5  # beyond it nothing was computed or measured
FADES_FROM, REACH = 17.0, 19.0
"""Diameters between which a wake fades to nothing. Pairs were fitted to 15, trains to 17; Temkin
and Ecker saw wakes of 15. In an endless stream the shares of ever further drops would add up
without end: where to stop is an assumption."""
NEAREST = 1.1  # diameters: the fit ends here, nearer drops are taken to be this near
RISE, RISE_POWER = 0.15, 0.687  # Schiller and Naumann
MOST_SHARE = 0.95  # of the air's speed that all drops ahead together can take away


def drag_rise(reynolds: Number) -> Number:
    """Drag of a sphere over that by Stokes' law: 1 + 0.15 Re^0.687, for 0 < Re < 1000.

    Source: Schiller and Naumann 1933, as `rasterc.head.air.drag_coefficient`.

    >>> round(drag_rise(100.0), 3)
    4.549
    """
    rise: Number = 1 + RISE * reynolds**RISE_POWER
    return rise


def wake_share(behind: Floats, across: Floats, reynolds: Floats) -> Floats:
    """Share of the air's speed that one drop takes away for another behind it.

    1 / (1.4425 Re^0.0289 + 1.982 Re^-0.3293 x - 0.0173 Re^0.6616 exp(1 - x)) on its line of flight,
    times exp(-y^2 / w^2) with w^2 = 0.32 + 4 x / Re off it; ``behind`` is x, ``across`` y, and
    ``reynolds`` that of the drop ahead. For Re 50 to 200, x 1.1 to 15. Nearer drops are taken to
    be at 1.1; the share sets in over one diameter, as a drop beside another is not behind it, and
    fades to nothing from 17 to 19 diameters: both are assumptions.

    Source: the fit described at the head of this module; how a wake widens is that of a laminar
    wake (Schlichting, Boundary-Layer Theory; from memory).

    >>> wake_share(np.array([1.5, 2.4, 10.0]), np.zeros(3), np.full(3, 100.0)).round(3)
    array([0.481, 0.384, 0.167])
    """
    x = np.clip(behind, NEAREST, REACH)
    steady, growth, near = share_terms(reynolds)
    share = 1 / (steady + growth * x - near * np.exp(1 - x))
    faded: Floats = share * np.exp(-across * across / (0.32 + 4 / reynolds * x))
    return faded * smooth(behind) * smooth((REACH - behind) / (REACH - FADES_FROM))


def share_terms(reynolds: Number) -> tuple[Number, Number, Number]:
    """The three factors of `wake_share` that depend on the Reynolds number alone.

    >>> [round(term, 4) for term in share_terms(100.0)]
    [1.6478, 0.435, 0.3641]
    """
    return (
        1.4425 * reynolds**0.0289,
        1.982 * reynolds**-0.3293,
        0.0173 * reynolds**0.6616,
    )


def smooth(part: Floats) -> Floats:
    """0 up to 0, 1 from 1 on, with no kink between."""
    t = np.clip(part, 0.0, 1.0)
    smooth: Floats = t * t * (3 - 2 * t)
    return smooth


def drag_factor(share: Number, reynolds: Number) -> Number:
    """Drag of a drop over its drag alone, when others take away this share of the air's speed.

    (1 - e) phi((1 - e) Re) / phi(Re) with phi of `drag_rise`: the drop meets slower air.

    >>> round(drag_factor(0.384, 100.0), 3)
    0.48
    """
    left = 1 - share
    factor: Number = left * drag_rise(left * reynolds) / drag_rise(reynolds)
    return factor


def train_factors(places: Floats, reynolds: float, strength: float = 1.0) -> Floats:
    """Drag factors of drops in a row, first to last, at these ``places`` (diameters behind).

    The shares of all drops ahead add up, each weighed with its own drag factor, as a wake carries
    the momentum that its drop gave up; at most 0.95 together.

    >>> train_factors(np.arange(4) * 2.4, 100.0).round(2)
    array([1.  , 0.48, 0.4 , 0.36])
    """
    factors = np.ones(len(places))
    alike, zero = np.full(len(places), reynolds), np.zeros(len(places))
    for k in range(1, len(places)):
        shares = wake_share(places[k] - places[:k], zero[:k], alike[:k])
        share = min(strength * float(factors[:k] @ shares), MOST_SHARE)
        factors[k] = drag_factor(share, reynolds)
    return factors

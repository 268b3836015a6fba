"""When the electrode's voltage counts: the window in which a drop may break off.

A drop keeps the charge that is on it when it parts from the jet. The voltage of its slot must have
settled by then, on the electrode and, through the resistance of the ink, on the jet.
"""

from __future__ import annotations

from math import log, pi

from rasterc.head.charging import VACUUM_PERMITTIVITY_F_M

SETTLED = 0.01  # part of a step that may be missing yet; common practice, no source
RADIAL_ROOT = 2.404826  # first zero of the Bessel function J0


def charging_time_s(
    jet_diameter_m: float,
    conductivity_s_m: float,
    bore_m: float,
    to_tunnel_m: float,
    in_tunnel_m: float,
) -> float:
    """Time constant with which charge flows along the jet to the place of breakup: R C.

    R is that of the jet up to the tunnel and half of that inside, C that of the jet inside it:
    2 pi eps0 l / ln(bore / d) (Elmore's delay of a line of resistance and capacitance). The jet is
    taken as a straight cylinder: its necks make it slower.

    Source: Elmore, J. Appl. Phys. 19 (1948), 55-63 (from memory); coaxial cylinders.

    >>> round(charging_time_s(55e-6, 0.1, 800e-6, 8e-3, 1.5e-3) * 1e6, 2)
    1.15
    """
    capacitance = 2 * pi * VACUUM_PERMITTIVITY_F_M * in_tunnel_m / log(bore_m / jet_diameter_m)
    section = pi / 4 * jet_diameter_m**2
    return (to_tunnel_m + in_tunnel_m / 2) / (conductivity_s_m * section) * capacitance


def charge_window_s(period_s: float, settle_s: float, time_constant_s: float = 0.0) -> float:
    """Part of a drop period in which breakup finds the full voltage of its slot; 0 for none.

    The voltage is held from one slot to the next, has settled after ``settle_s``, and the charge
    follows it within `SETTLED` of its step after ln(100) = 4.6 time constants. How long a neck
    takes to part, and what it carries meanwhile, no formula tells: it is left out.

    >>> round(charge_window_s(13.7e-6, 3e-6, 1.15e-6) * 1e6, 2)
    5.4
    """
    return max(0.0, period_s - settle_s - time_constant_s * log(1 / SETTLED))


def tunnel_margin_m(bore_m: float) -> float:
    """How far inside the tunnel breakup must lie for the open end to matter 1 % at most.

    The field of an end fades as exp(-2 x 2.405 z / bore). Source: Laplace's equation in a round
    tube; textbook electrostatics.

    >>> round(tunnel_margin_m(800e-6) * 1e3, 2)
    0.77
    """
    return bore_m / (2 * RADIAL_ROOT) * log(100)

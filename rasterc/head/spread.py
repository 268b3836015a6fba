"""From the drop that lands to the dot that stays: impact, contact angle, wetting."""

from __future__ import annotations

from math import cos, radians, sin, sqrt

from rasterc.profile.flight import Flight, Material


def cap_ratio(contact_angle_deg: float) -> float:
    """Base of a drop at rest over its diameter in flight.

    (4 sin^3 a / (2 - 3 cos a + cos^3 a))^(1/3), a the contact angle.

    A spherical cap of the drop's volume that meets the surface at its contact angle: small drops,
    no weight, a smooth and dry surface. For angles above 90 degrees the cap is wider than its base.

    Source: geometry.

    >>> [round(cap_ratio(angle), 2) for angle in (10, 30, 60, 90)]
    [3.12, 2.13, 1.61, 1.26]
    """
    a = radians(contact_angle_deg)
    return float((4 * sin(a) ** 3 / (2 - 3 * cos(a) + cos(a) ** 3)) ** (1 / 3))


def greatest_spread(weber: float, reynolds: float, contact_angle_deg: float) -> float:
    """Widest spread while a drop lands, over its diameter, by an energy balance.

    sqrt((We + 12) / (3 (1 - cos a) + 4 We / sqrt(Re))), a the angle while it advances.

    Source: Pasandideh-Fard and others, Phys. Fluids 8 (1996), 650-659 (from memory).

    >>> round(greatest_spread(669, 364, 180), 2)
    2.16
    """
    resisting = 3 * (1 - cos(radians(contact_angle_deg))) + 4 * weber / sqrt(reynolds)
    return sqrt((weber + 12) / resisting)


def measured_spread(weber: float, reynolds: float) -> float:
    """Widest spread while a drop lands, over its diameter, as fitted: 0.61 (Re^2 Oh)^0.166.

    Oh = sqrt(We) / Re. Source: Scheller and Bousfield, AIChE J. 41 (1995), 1357-1367 (from memory).

    >>> round(measured_spread(669, 364), 2)
    2.79
    """
    return float(0.61 * (reynolds * sqrt(weber)) ** 0.166)


CRITICAL_TENSION_N_M = {
    Material.PTFE: 0.0194,
    Material.PP: 0.0305,
    Material.PE: 0.0316,
    Material.PS: 0.034,
    Material.PMMA: 0.0375,
    Material.PVC: 0.0379,
    Material.PET: 0.039,
    Material.PC: 0.044,
    Material.PA6: 0.0439,
}
"""Surface tension below which a liquid wets a polymer all over (Zisman), N/m.

Source: a table of critical surface tensions of polymers on a web page, read at second hand. Glass,
metals and coated papers: no figures found.
"""


def wets(material: Material, surface_tension_n_m: float) -> bool:
    """Whether a liquid spreads on a polymer without end, until drying stops it.

    >>> wets(Material.PE, 0.025), wets(Material.PTFE, 0.025)
    (True, False)
    """
    return surface_tension_n_m <= CRITICAL_TENSION_N_M[material]


def dot_ratio(flight: Flight) -> float | None:
    """Diameter of a printed dot over that of its drop; None when the profile tells neither way.

    The profile's own ratio, else the resting cap at its contact angle: the edge of a drop stays
    where it dries, which is common experience and an assumption here.
    """
    if flight.ink.spread_ratio is not None:
        return flight.ink.spread_ratio
    angle = flight.surface.contact_angle_deg
    return None if angle is None else cap_ratio(angle)

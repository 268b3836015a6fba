"""A drop on the product: how fast it lands, how wide it spreads, what may carry it aside."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rasterc.head import breakup
from rasterc.head.jet_state import JetState
from rasterc.head.model import head_model
from rasterc.head.passage import carried_m, drag_rate, laminar_drift_m, lone_flight, weight_m
from rasterc.head.spread import cap_ratio, dot_ratio, greatest_spread, measured_spread, wets
from rasterc.profile.model import LineProfile

ADVANCING_DEG = 180.0  # angle of a drop that shoots over a surface; the least spread by the balance


@dataclass(frozen=True, slots=True)
class Draught:
    """How far the air that a product drags carries drops along, in mm, at one line speed."""

    speed_m_s: float
    least_mm: float
    most_mm: float


@dataclass(frozen=True, slots=True)
class Landing:
    """A lone drop on the product.

    Attributes:
        speed_m_s, flight_ms: when it lands, and since breakup; a stream's drops are faster.
        weber, reynolds: of the landing drop.
        least_spread, most_spread: widest while it lands, in drop diameters, by two formulas.
        cap: resting cap by the contact angle, in drop diameters; None when no angle is told.
        ratio: what the profile's dots are taken for.
        dot_mm: a dot of that ratio.
        wetted: whether the ink spreads on the material without end; None when no one told.
        weight_mm: how far it falls in flight if gravity acts along the rows.
        draughts: one for each line speed of the profile.
    """

    speed_m_s: float
    flight_ms: float
    weber: float
    reynolds: float
    least_spread: float
    most_spread: float
    cap: float | None
    ratio: float
    dot_mm: float
    wetted: bool | None
    weight_mm: float
    draughts: tuple[Draught, ...]


def landing_of(profile: LineProfile, state: JetState) -> Landing | None:
    """The landing of a lone drop of a jet, None if the air stops it before.

    Raises:
        InputError: like `head_model`.
    """
    flight = profile.flight
    assert flight is not None
    ratio = dot_ratio(flight) or 1.0
    head = replace(
        head_model(profile),
        drop_mass_kg=state.drop_mass_kg,
        drop_diameter_m=state.drop_diameter_m,
    )
    ink, surface = state.ink, flight.surface
    gate_m_s, _ = lone_flight(head, state.drop_speed_m_s, head.exit_m)
    speed, seconds = lone_flight(head, state.drop_speed_m_s, head.product_m)
    if speed <= 0:
        return None
    weber = breakup.weber(speed, state.drop_diameter_m, ink.density_kg_m3, ink.surface_tension_n_m)
    reynolds = breakup.reynolds(speed, state.drop_diameter_m, ink.density_kg_m3, ink.viscosity_pa_s)
    spreads = greatest_spread(weber, reynolds, ADVANCING_DEG), measured_spread(weber, reynolds)
    nu = head.air_viscosity_pa_s / head.air_density_kg_m3
    least = laminar_drift_m(drag_rate(head, speed), nu, surface.moving_mm * 1e-3, speed)
    # slow air carries in proportion to its speed
    per_m_s = carried_m(head, gate_m_s, head.throw_m, lambda _: 0.5)
    draughts = [
        Draught(line, min(least, per_m_s * line) * 1e3, max(least, per_m_s * line) * 1e3)
        for line in profile.line.speeds_m_s
    ]
    angle, material = surface.contact_angle_deg, surface.material
    return Landing(
        speed_m_s=speed,
        flight_ms=seconds * 1e3,
        weber=weber,
        reynolds=reynolds,
        least_spread=min(spreads),
        most_spread=max(spreads),
        cap=None if angle is None else cap_ratio(angle),
        ratio=ratio,
        dot_mm=ratio * state.drop_diameter_m * 1e3,
        wetted=None if material is None else wets(material, ink.surface_tension_n_m),
        weight_mm=weight_m(seconds) * 1e3,
        draughts=tuple(draughts),
    )

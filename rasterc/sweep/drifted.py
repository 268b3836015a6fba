"""A head whose jet has drifted: its drops, where and when they break off, and how far they may."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isnan, log, nan, sqrt

from rasterc.head.breakup import ohnesorge, weber
from rasterc.head.ink import InkState, ink_at
from rasterc.head.jet import JetModel
from rasterc.head.jet_state import JetState
from rasterc.head.model import HeadModel
from rasterc.profile.flight import Flight
from rasterc.profile.model import LineProfile
from rasterc.sweep.model import JetChange

BREAKUP_LOG = 4.0
"""ln(jet radius / first disturbance) of a driven jet: 3 to 6, common practice, no source."""
NEVER = 1e6  # metres, or periods, of a jet that does not break up: JSON has no infinity


def drifted(head: HeadModel, profile: LineProfile, jet: JetChange) -> HeadModel:
    """The head with a jet that has drifted, at the same voltages.

    Mass follows speed, as a period cuts off a longer piece of a faster jet: m = rho pi d^2 v /
    (4 f). What ``jet.mass`` tells comes on top, from a jet of another width.

    Viscosity does not act on a drop in flight. It moves the place of breakup: plates and product
    are nearer to drops that break off later.
    """
    volume = jet.mass * jet.speed
    later_m = min(breakup_shift(profile, jet).later_m, head.entry_m)
    return replace(
        head,
        jet_speed_m_s=head.jet_speed_m_s * jet.speed,
        drop_mass_kg=head.drop_mass_kg * volume * jet.density,
        drop_diameter_m=head.drop_diameter_m * volume ** (1 / 3),
        rayleigh_charge_c=head.rayleigh_charge_c * sqrt(volume * jet.surface_tension),
        entry_m=head.entry_m - later_m,
        exit_m=head.exit_m - later_m,
    )


def charge_factor(profile: LineProfile, jet: JetChange) -> float:
    """By what the charges of drops change at the same voltages.

    A longer piece of jet takes more charge, and a wider one: 2 pi eps0 l / ln(bore / d).
    Source: coaxial cylinders, textbook electrostatics.
    """
    flight = _flight(profile)
    usual = flight.electrode.bore_um * 1e-6 / flight.jet.diameter_m
    return jet.speed * log(usual) / log(usual / sqrt(jet.mass))


@dataclass(frozen=True, slots=True)
class BreakupShift:
    """How much later drops break off than usual.

    Attributes:
        later_m: further from the nozzle.
        periods: in drop periods; None where the profile does not tell how the jet is driven.
    """

    later_m: float
    periods: float | None


def breakup_shift(profile: LineProfile, jet: JetChange) -> BreakupShift:
    """How a change of the jet moves breakup.

    By the growth of the drive's disturbance where the profile tells it (modulation or breakup_mm).
    Else the length of the jet is taken as d sqrt(We) (1 + 3 Oh) `BREAKUP_LOG`.

    Source: growth of disturbances on a viscous jet by Weber, ZAMM 11 (1931), 136-154.

    Raises:
        InputError: a profile that contradicts itself.
    """
    flight = _flight(profile)
    model = JetModel(profile)
    if isnan(model.modulation):
        usual_m, moved_m = (_estimated_m(flight, change) for change in (JetChange(), jet))
        return BreakupShift(moved_m - usual_m, None)
    usual, moved = _thrown(model, JetChange()), _thrown(model, jet)
    if moved.growth_per_s <= 0:
        return BreakupShift(NEVER, NEVER)
    periods = moved.breakup_periods - usual.breakup_periods
    return BreakupShift(moved.breakup_m - usual.breakup_m, periods)


def _flight(profile: LineProfile) -> Flight:
    assert profile.flight is not None
    return profile.flight


def _thrown(model: JetModel, jet: JetChange) -> JetState:
    ink = _changed(ink_at(model.flight.ink), jet)
    width = model.flight.jet.diameter_m * sqrt(jet.mass)
    return model.thrown(ink, model.flight.jet.jet_speed_m_s * jet.speed, width)


def _changed(ink: InkState, jet: JetChange) -> InkState:
    return InkState(
        ink.density_kg_m3 * jet.density,
        ink.surface_tension_n_m * jet.surface_tension,
        ink.viscosity_pa_s * jet.viscosity,
    )


def _estimated_m(flight: Flight, jet: JetChange) -> float:
    ink = _changed(ink_at(flight.ink), jet)
    diameter, speed = flight.jet.diameter_m * sqrt(jet.mass), flight.jet.jet_speed_m_s * jet.speed
    liquid = (ink.density_kg_m3, ink.surface_tension_n_m)
    thick = 1 + 3 * ohnesorge(diameter, *liquid, ink.viscosity_pa_s)
    return diameter * sqrt(weber(speed, diameter, *liquid)) * thick * BREAKUP_LOG


@dataclass(frozen=True, slots=True)
class BreakupRoom:
    """How far breakup may move; nan where nothing in the profile tells.

    Attributes:
        periods: either way, with the phase of charging in the middle of its window.
        sooner_mm, later_mm: to the ends of the tunnel, or later to the entry of the plates.
    """

    periods: float
    sooner_mm: float
    later_mm: float


def breakup_room(profile: LineProfile) -> BreakupRoom:
    """How far breakup may move from where it usually is; raises `InputError` like `JetModel`."""
    model, flight = JetModel(profile), _flight(profile)
    if isnan(model.modulation):
        return BreakupRoom(nan, nan, flight.plates.to_plates_mm)
    usual = _thrown(model, JetChange())
    window, tunnel = model.window(usual), model.tunnel_m
    periods = nan if window is None else window.part / 2
    if tunnel is None:
        return BreakupRoom(periods, nan, flight.plates.to_plates_mm)
    start, length = tunnel
    ends_mm = (usual.breakup_m - start) * 1e3, (start + length - usual.breakup_m) * 1e3
    return BreakupRoom(periods, *ends_mm)


def unjudged(profile: LineProfile) -> dict[str, str]:
    """Limits of a drifting jet that a profile does not tell enough of to hold it to, and why."""
    room, why = breakup_room(profile), {}
    if isnan(room.periods):
        why["charge phase"] = "the profile does not tell modulation or breakup_mm, and settle_us"
    if isnan(room.sooner_mm):
        why["breakup place"] = (
            "the profile does not tell from_nozzle_mm and length_mm, and modulation or breakup_mm: "
            "drops are only held to break off before the plates"
        )
    return why

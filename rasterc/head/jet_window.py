"""What small changes of a head's settings do, and how far each may move."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import isnan

from rasterc.diagnostics import InputError
from rasterc.head.ink import MOST_MAKE_UP
from rasterc.head.jet import MOST_MODULATION, JetModel
from rasterc.head.jet_state import JetSetting, JetState
from rasterc.head.liquids import COLDEST_C, HOTTEST_C
from rasterc.profile.flight import Ink

Setter = Callable[[float], JetSetting]


@dataclass(frozen=True, slots=True)
class Shift:
    """What one change of a setting does, at the voltages there are.

    Attributes:
        change: in words.
        speed, mass, deflection: changes in parts; deflection is that of a drop alone, no air.
        breakup_mm: how much later along the jet drops break off.
        periods: how many drop periods later; what the phase of charging must follow.
    """

    change: str
    speed: float
    mass: float
    deflection: float
    breakup_mm: float
    periods: float


def shifts(model: JetModel, base: JetSetting) -> list[Shift]:
    """What small changes of each setting do; those the profile cannot tell of are left out."""
    warm = model.flight.ink.stated_at_c if base.temperature_c is None else base.temperature_c
    changes = {
        "pressure + 1 %": replace(base, pressure=base.pressure * 1.01),
        "viscosity + 10 %": replace(base, viscosity=base.viscosity * 1.1),
        "modulation + 10 %": _driven(base, model.state(base).modulation * 1.1),
        "5 degrees warmer": replace(base, temperature_c=warm + 5),
        "5 % more make-up": replace(base, make_up=base.make_up + 0.05),
    }
    usual = model.state(base)
    found = []
    for change, setting in changes.items():
        if _silent(model, change, usual):
            continue
        try:
            found.append(_shift(change, usual, model.state(setting)))
        except InputError:  # the profile has no law for it: said beside the table
            continue
    return found


def _driven(base: JetSetting, modulation: float) -> JetSetting:
    return replace(base, absolute_modulation=modulation)


def _silent(model: JetModel, change: str, usual: JetState) -> bool:
    """Whether the profile says nothing on which the change could act."""
    told = not isnan(usual.modulation)
    if change.startswith("modulation"):
        return not told
    return change.startswith("viscosity") and not told and not model.flight.jet.nozzle_length_um


def _shift(change: str, usual: JetState, moved: JetState) -> Shift:
    # charge / mass does not change with the speed: both grow with the wavelength
    deflection = usual.ink.density_kg_m3 * usual.drop_speed_m_s**2
    deflection /= moved.ink.density_kg_m3 * moved.drop_speed_m_s**2
    return Shift(
        change,
        moved.speed_m_s / usual.speed_m_s - 1,
        moved.drop_mass_kg / usual.drop_mass_kg - 1,
        deflection - 1,
        (moved.breakup_m - usual.breakup_m) * 1e3,
        moved.breakup_periods - usual.breakup_periods,
    )


@dataclass(frozen=True, slots=True)
class Room:
    """Between which values one setting may stay, the others being as they are.

    ``low_limit`` and ``high_limit`` say what ends it there; None where nothing does within what
    was looked at.
    """

    setting: str
    unit: str
    usual: float
    low: float
    high: float
    low_limit: str | None
    high_limit: str | None


PHASE, PLACE, NO_JET = "charge phase", "tunnel", "no jet"
LOOKS = 60  # steps from the usual value to the end of what is looked at, on either side


def rooms(model: JetModel, base: JetSetting) -> list[Room]:
    """How far each setting may move before drops are charged at the wrong time or place.

    The phase of charging is set in the middle of its window for the usual state and not followed:
    a head that senses it anew has more room. Settings the profile cannot tell of are left out.
    """
    usual, ink = model.state(base), model.flight.ink
    if isnan(usual.modulation) or (model.tunnel_m is None and model.window(usual) is None):
        return []  # nothing ends them
    if _broken(model, usual, 1.0, lambda _: base) is not None:
        return []  # there is no room to begin with
    found = []
    for knob in _knobs(base, usual, ink):
        try:
            ends = [_edge(model, usual, knob, end) for end in (knob.low, knob.high)]
        except InputError:
            continue
        (low, low_limit), (high, high_limit) = ends
        found.append(Room(knob.name, knob.unit, knob.usual, low, high, low_limit, high_limit))
    return found


@dataclass(frozen=True, slots=True)
class _Knob:
    """A setting: where it is, between which values it is looked at, and how to set it."""

    name: str
    unit: str
    usual: float
    low: float
    high: float
    setter: Setter


def _knobs(base: JetSetting, usual: JetState, ink: Ink) -> list[_Knob]:
    warm = ink.stated_at_c if base.temperature_c is None else base.temperature_c
    mu, kpa, part = usual.ink.viscosity_pa_s * 1e3, usual.pressure_pa / 1e3, usual.modulation
    return [
        _Knob(
            "pressure", "kPa", kpa, 0.7 * kpa, 1.3 * kpa,
            lambda value: replace(base, pressure=base.pressure * value / kpa),
        ),
        _Knob(
            "viscosity", "mPa s", mu, 0.4 * mu, 2.5 * mu,
            lambda value: replace(base, viscosity=base.viscosity * value / mu),
        ),
        _Knob(
            "temperature", "C", warm, COLDEST_C, HOTTEST_C,
            lambda value: replace(base, temperature_c=value),
        ),
        _Knob(
            "make-up", "of the mass", base.make_up, 0.0, MOST_MAKE_UP,
            lambda value: replace(base, make_up=value),
        ),
        _Knob(
            "modulation", "of the radius", part, part / 5, min(part * 5, MOST_MODULATION),
            lambda value: _driven(base, value),
        ),
    ]  # fmt: skip


def _edge(model: JetModel, usual: JetState, knob: _Knob, end: float) -> tuple[float, str | None]:
    """The furthest value towards ``end`` at which all is well, and what ends it."""
    here, setter = knob.usual, knob.setter
    good, bad, limit = here, here, _broken(model, usual, here, setter)
    for look in range(1, LOOKS + 1):
        if limit is not None:
            break
        good, bad = bad, here + (end - here) * look / LOOKS
        limit = _broken(model, usual, bad, setter)
    if limit is None:
        return end, None
    for _ in range(20):
        middle = (good + bad) / 2
        broken = _broken(model, usual, middle, setter)
        good, bad, limit = (middle, bad, limit) if broken is None else (good, middle, broken)
    return good, limit


def _broken(model: JetModel, usual: JetState, value: float, setter: Setter) -> str | None:
    """What a value of a setting breaks, None for nothing."""
    moved, window, tunnel = model.state(setter(value)), model.window(usual), model.tunnel_m
    if moved.growth_per_s <= 0:
        return NO_JET
    if tunnel is not None and not tunnel[0] <= moved.breakup_m <= sum(tunnel):
        return PLACE
    if window is not None and abs(moved.breakup_periods - usual.breakup_periods) > window.part / 2:
        return PHASE
    return None

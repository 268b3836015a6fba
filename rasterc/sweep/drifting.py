"""What may drift at a head while its charges stay as they are, and the flight of each drift."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from math import isnan

from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.head.ink import ink_at
from rasterc.head.jet import JetModel
from rasterc.head.jet_state import JetSetting
from rasterc.head.line import TRIGGER_SIGMAS
from rasterc.head.liquids import COLDEST_C, HOTTEST_C
from rasterc.head.model import head_model
from rasterc.head.table import MAX_THROW_MM
from rasterc.profile.flight import Flight
from rasterc.sweep.model import Case, Charges, JetChange, Job

VISCOSITY_TRIED = (0.4, 2.5)  # parts of the usual value, between which each drift is looked at
SPEED_TRIED = (0.8, 1.2)
MASS_TRIED = (0.7, 1.3)
THROW_TRIED = (0.1, 3.0)


class Drift(StrEnum):
    """What drifts: each by itself, the others as they are."""

    VISCOSITY = "viscosity"  # at the same jet speed
    JET_SPEED = "jet speed"  # drop mass follows
    DROP_MASS = "drop mass"  # at the same jet speed: by the width of the jet
    TEMPERATURE = "temperature"  # of the ink, at the same pressure
    THROW = "throw"
    TRIGGER = "trigger jitter"  # one standard deviation


@dataclass(frozen=True, slots=True)
class Drifting:
    """Something that drifts: its usual value, and between which values it is looked at.

    ``untold`` is why nothing can be said of it; "" where something can.
    """

    what: Drift
    unit: str
    usual: float
    low: float
    high: float
    untold: str = ""


def all_drifting(job: Job) -> list[Drifting]:
    """Everything that may drift; raises `InputError` like `head_model` and `JetModel`."""
    head, model = head_model(job.profile), JetModel(job.profile)
    return [
        _viscosity(model),
        _around(Drift.JET_SPEED, "m/s", head.jet_speed_m_s, SPEED_TRIED),
        _around(Drift.DROP_MASS, "ng", head.drop_mass_kg * 1e12, MASS_TRIED),
        _temperature(model),
        _throw(job),
        _trigger(job),
    ]


def _around(what: Drift, unit: str, usual: float, parts: tuple[float, float]) -> Drifting:
    return Drifting(what, unit, usual, usual * parts[0], usual * parts[1])


def _viscosity(model: JetModel) -> Drifting:
    usual = model.flight.ink.viscosity_mpa_s
    found = _around(Drift.VISCOSITY, "mPa s", usual, VISCOSITY_TRIED)
    if isnan(model.modulation):
        why = "the profile does not tell modulation or breakup_mm"
        return replace(found, untold=why)
    return found


def _temperature(model: JetModel) -> Drifting:
    ink = model.flight.ink
    found = Drifting(Drift.TEMPERATURE, "C", ink.stated_at_c, COLDEST_C, HOTTEST_C)
    try:
        model.state(JetSetting(temperature_c=HOTTEST_C if ink.stated_at_c < HOTTEST_C else 0.0))
    except InputError:
        return replace(found, untold="the profile tells neither viscosity_by_c nor make_up")
    return found


def _throw(job: Job) -> Drifting:
    found = _around(Drift.THROW, "mm", job.throw_mm, THROW_TRIED)
    return replace(found, high=min(found.high, MAX_THROW_MM))


def _trigger(job: Job) -> Drifting:
    line = job.profile.line
    usual = line.trigger_jitter_us or 0.0
    if line.print_window_mm is None:
        why = "the profile tells no print_window_mm that codes must lie in"
        return Drifting(Drift.TRIGGER, "us", usual, usual, usual, why)
    # a code that begins half its window late lies outside, however short it is
    most = line.print_window_mm / 2 / (TRIGGER_SIGMAS * 1e-3 * job.speed_m_s)
    return Drifting(Drift.TRIGGER, "us", usual, usual, max(most, usual))


def case_at(job: Job, moved: Mapping[Drift, float]) -> Case:
    """The flight with some things drifted to these values, and the charges as they are.

    Raises:
        InputError: values that no jet has, or that the profile does not tell of.
    """
    case = job.usual(Charges.FIXED)
    if Drift.THROW in moved:
        case = structs.replace(case, throw_mm=moved[Drift.THROW])
    if Drift.TRIGGER in moved:
        case = structs.replace(case, trigger_us=TRIGGER_SIGMAS * moved[Drift.TRIGGER])
    jet = _jet(job, moved)
    return case if jet == JetChange() else structs.replace(case, jet=jet)


def _jet(job: Job, moved: Mapping[Drift, float]) -> JetChange:
    flight = job.profile.flight
    assert flight is not None
    warm = moved.get(Drift.TEMPERATURE, flight.ink.stated_at_c)
    jet = JetChange() if warm == flight.ink.stated_at_c else _warmed(job, flight, warm)
    head = head_model(job.profile)

    def factor(what: Drift, usual: float) -> float:
        return moved.get(what, usual) / usual

    return structs.replace(
        jet,
        speed=jet.speed * factor(Drift.JET_SPEED, head.jet_speed_m_s),
        mass=factor(Drift.DROP_MASS, head.drop_mass_kg * 1e12),
        viscosity=jet.viscosity * factor(Drift.VISCOSITY, flight.ink.viscosity_mpa_s),
    )


def _warmed(job: Job, flight: Flight, warm: float) -> JetChange:
    """The jet at another temperature and the same pressure."""
    usual, moved, model = ink_at(flight.ink), ink_at(flight.ink, warm), JetModel(job.profile)
    speed = model.state(JetSetting(temperature_c=warm)).speed_m_s
    return JetChange(
        speed=speed / model.state().speed_m_s,
        viscosity=moved.viscosity_pa_s / usual.viscosity_pa_s,
        density=moved.density_kg_m3 / usual.density_kg_m3,
        surface_tension=moved.surface_tension_n_m / usual.surface_tension_n_m,
    )

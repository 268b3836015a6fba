"""What `rasterc jet` works out, and writes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import isfinite, isnan
from pathlib import Path
from typing import Any

from msgspec import to_builtins

from rasterc.cli.documents.jet import JetDocument
from rasterc.cli.jet.wanted import JetWanted, numbers
from rasterc.cli.piped import write_all
from rasterc.cli.say import encoded
from rasterc.diagnostics import Severity
from rasterc.head.jet import JetModel
from rasterc.head.jet_limits import electrode_faults, jet_state_faults
from rasterc.head.jet_map import JetMap, jet_map
from rasterc.head.jet_state import JetSetting, JetState
from rasterc.head.jet_window import rooms, shifts
from rasterc.head.landing import landing_of
from rasterc.head.limits import FlightFault
from rasterc.head.line import line_effect
from rasterc.output.flights.tables import Cell, Table, table_of
from rasterc.output.flights.text import CAUTIONS, wrapped
from rasterc.output.jets import text as jet_text
from rasterc.profile.model import LineProfile

MODULATIONS = (0.003, 0.01, 0.03, 0.1)  # of maps, where the profile tells none
DRAWN_POINTS = 45
NO_WINDOW = FlightFault(
    "no-window",
    "no point of the map keeps every bound",
    "look at other pressures, viscosities or modulations, or move the electrode",
    Severity.WARNING,
    0.0,
    1.0,
    "points",
)


@dataclass(frozen=True, slots=True)
class JetOutcome:
    """What a study of a jet comes to."""

    profile: str
    lines: Sequence[str]
    figures: dict[str, Any]
    table: Table
    faults: Sequence[FlightFault]
    picture: Callable[[str], bytes] | None
    fitted: bytes | None = None


def study(profile: LineProfile, wanted: JetWanted) -> JetOutcome:
    """The jet at the setting asked for, or its map; raises `InputError`."""
    model = JetModel(profile)
    setting = _setting(model, wanted)
    return _map(model, setting, wanted) if wanted.map_ else _one(model, setting)


def _setting(model: JetModel, wanted: JetWanted) -> JetSetting:
    setting = JetSetting(wanted.temperature, wanted.make_up, absolute_modulation=wanted.modulation)
    if wanted.pressure is not None:
        setting = replace(setting, pressure=wanted.pressure * 1e3 / model.pressure_pa)
    if wanted.viscosity is not None:
        usual = model.state(setting).ink.viscosity_pa_s * 1e3
        setting = replace(setting, viscosity=wanted.viscosity / usual)
    return setting


def _one(model: JetModel, setting: JetSetting) -> JetOutcome:
    state = model.state(setting)
    faults = [*jet_state_faults(model, state), *electrode_faults(model)]
    moved, room = shifts(model, setting), rooms(model, setting)
    landing = landing_of(model.profile, state)
    speeds = model.profile.line.speeds_m_s if landing else ()
    flight_s = landing.flight_ms * 1e-3 if landing else 0.0
    effects = [line_effect(model.profile, speed, flight_s) for speed in speeds]
    stated = model.flight.ink.stated_at_c
    warm = stated if setting.temperature_c is None else setting.temperature_c
    lines = [
        wrapped(f'the jet of "{model.profile.name}"', ""),
        *jet_text.state_lines(model, state, warm),
        *jet_text.landing_lines(model, landing),
        *jet_text.line_lines(effects), "",
        *jet_text.shift_lines(moved), "",
        *jet_text.room_lines(room),
        *jet_text.fault_lines(faults),
        *jet_text.not_told(model),
    ]  # fmt: skip
    window = model.window(state)
    figures = {
        "jet": state_row(state),
        "charge_window": None if window is None else _plain(to_builtins(window)),
        "landing": landing and to_builtins(landing),
        "line": [to_builtins(effect) for effect in effects],
        "changes": [_plain(to_builtins(one)) for one in moved],
        "rooms": [_plain(to_builtins(one)) for one in room],
    }
    return JetOutcome(
        model.profile.name, lines, figures, table_of([state_row(state)]), faults, None
    )


def _map(model: JetModel, setting: JetSetting, wanted: JetWanted) -> JetOutcome:
    state = model.state(setting)
    kpa, mu = state.pressure_pa / 1e3, state.ink.viscosity_pa_s * 1e3
    modulations = numbers(wanted.modulations) or _modulations(state.modulation)
    ask = numbers(wanted.pressures), numbers(wanted.viscosities)
    shown = jet_map(
        model, setting, modulations,
        ask[0] or _spread(0.8 * kpa, 1.2 * kpa, 5), ask[1] or _ratios(0.5 * mu, 2 * mu, 5),
    )  # fmt: skip

    def picture(kind: str) -> bytes:
        from rasterc.output.jets.plot import jet_map_plot

        low, high = min(shown.pressures_kpa), max(shown.pressures_kpa)
        thin, thick = min(shown.viscosities_mpa_s), max(shown.viscosities_mpa_s)
        fine = jet_map(
            model, setting, modulations,
            _spread(low, high, DRAWN_POINTS), _ratios(thin, thick, DRAWN_POINTS),
        )  # fmt: skip
        return jet_map_plot(fine, (mu, kpa), kind)

    rows = map_rows(shown)
    none = all(shown.broken.values())
    faults = [NO_WINDOW] if none else []
    lines = [
        wrapped(f'the window of "{model.profile.name}"', ""),
        *jet_text.map_lines(shown),
        *jet_text.fault_lines(faults),
    ]
    return JetOutcome(
        model.profile.name,
        lines,
        {"map": rows},
        table_of(rows),
        faults,
        picture,
    )


def _modulations(usual: float) -> Sequence[float]:
    """From half the usual one to four times it."""
    if isnan(usual):
        return MODULATIONS
    return [float(f"{min(usual * part, 0.9):.3g}") for part in (0.5, 1, 2, 4)]


def _spread(low: float, high: float, count: int) -> list[float]:
    """So many values evenly between two, rounded so that they read well."""
    step = (high - low) / max(count - 1, 1)
    return sorted({float(f"{low + step * i:.4g}") for i in range(count)})


def _ratios(low: float, high: float, count: int) -> list[float]:
    """So many values between two, each the same part above the one before."""
    power = 1 / max(count - 1, 1)
    return sorted({float(f"{low * (high / low) ** (power * i):.4g}") for i in range(count)})


def state_row(state: JetState) -> dict[str, Cell]:
    """A state in the units of profiles; None where nothing tells."""
    ink = state.ink
    return _plain(
        {
            "pressure_kpa": state.pressure_pa / 1e3,
            "viscosity_mpa_s": ink.viscosity_pa_s * 1e3,
            "surface_tension_n_m": ink.surface_tension_n_m,
            "density_kg_m3": ink.density_kg_m3,
            "jet_speed_m_s": state.speed_m_s,
            "jet_um": state.diameter_m * 1e6,
            "weber": state.weber,
            "reynolds": state.reynolds,
            "ohnesorge": state.ohnesorge,
            "gas_weber": state.gas_weber,
            "wavelength_diameters": state.wavelengths,
            "best_wavelength_diameters": state.best_wavelength_m / state.diameter_m,
            "growth_per_s": state.growth_per_s,
            "modulation": state.modulation,
            "breakup_mm": state.breakup_m * 1e3,
            "breakup_periods": state.breakup_periods,
            "undriven_mm": state.undriven_m * 1e3,
            "drop_diameter_um": state.drop_diameter_m * 1e6,
            "drop_mass_ng": state.drop_mass_kg * 1e12,
            "drop_speed_m_s": state.drop_speed_m_s,
        }
    )


def _plain(values: dict[str, Any]) -> dict[str, Cell]:
    """The same with None for nan and infinity, which JSON has no numbers for."""
    return {
        name: None if isinstance(value, float) and not isfinite(value) else value
        for name, value in values.items()
    }


def map_rows(found: JetMap) -> list[dict[str, Cell]]:
    """A row for each point; ``breaks`` are the codes of what is wrong, apart by semicolons."""
    rows = []
    for at, state in found.states.items():
        row: dict[str, Cell] = dict(
            zip(("modulation", "pressure_kpa", "viscosity_mpa_s"), at, strict=True)
        )
        known = {} if state is None else state_row(state)
        for name in ("jet_speed_m_s", "wavelength_diameters", "breakup_mm", "breakup_periods"):
            row[name] = known.get(name)
        rows.append(row | {"breaks": "; ".join(found.broken[at])})
    return rows


def write(outcome: JetOutcome, paths: Sequence[Path], kind: str | None = None) -> list[str]:
    """Write each file whole, of the kind its suffix tells, ``kind`` of "-"; raises `InputError`."""
    return write_all(paths, kind, lambda suffix: _encoded(outcome, suffix))


def _encoded(outcome: JetOutcome, suffix: str) -> bytes:
    if suffix == ".csv":
        return outcome.table.as_csv()
    if suffix == ".toml" and outcome.fitted is not None:
        return outcome.fitted
    if suffix == ".json":
        return encoded(JetDocument, {**document(outcome, []), "diagnostics": []}).encode()
    assert outcome.picture is not None  # `JetWanted.check`
    return outcome.picture(suffix[1:])


def document(outcome: JetOutcome, written: Sequence[str]) -> dict[str, Any]:
    """The values of the outcome's `JetDocument`, without what is noted beside it."""
    return {
        "profile": outcome.profile,
        **dict.fromkeys(("jet", "charge_window", "landing", "fit")),
        "line": [], "changes": [], "rooms": [], "map": [],
        **outcome.figures,
        "findings": [_finding(fault) for fault in outcome.faults],
        "files": list(written),
        "cautions": list(CAUTIONS),
    }  # fmt: skip


def _finding(fault: FlightFault) -> dict[str, Any]:
    place = dict.fromkeys(("file", "line", "column", "text"))
    names = ("severity", "code", "message", "help", "measured", "limit", "unit")
    return place | {name: getattr(fault, name) for name in names}

"""A head's window: the jet by modulation, pressure and viscosity."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from rasterc.diagnostics import InputError
from rasterc.head.jet import JetModel
from rasterc.head.jet_limits import jet_state_faults
from rasterc.head.jet_state import JetSetting, JetState


@dataclass(frozen=True, slots=True, eq=False)
class JetMap:
    """States by modulation, pressure and viscosity, and what each breaks (codes of faults)."""

    modulations: tuple[float, ...]
    pressures_kpa: tuple[float, ...]
    viscosities_mpa_s: tuple[float, ...]
    states: Mapping[tuple[float, float, float], JetState | None]
    broken: Mapping[tuple[float, float, float], tuple[str, ...]]


def jet_map(
    model: JetModel,
    base: JetSetting,
    modulations: Sequence[float],
    pressures_kpa: Sequence[float],
    viscosities_mpa_s: Sequence[float],
) -> JetMap:
    """The jet at every modulation, pressure and viscosity."""
    usual = model.state(base)
    states: dict[tuple[float, float, float], JetState | None] = {}
    broken: dict[tuple[float, float, float], tuple[str, ...]] = {}
    for kpa in pressures_kpa:
        for mu in viscosities_mpa_s:
            setting = replace(
                base,
                pressure=base.pressure * kpa * 1e3 / usual.pressure_pa,
                viscosity=base.viscosity * mu * 1e-3 / usual.ink.viscosity_pa_s,
            )
            jet = _state(model, setting)
            for part in modulations:
                at = (part, kpa, mu)
                states[at] = state = jet and model.driven(jet, part)
                faults = jet_state_faults(model, state) if state else ()
                broken[at] = tuple(fault.code for fault in faults) if state else ("drips",)
    return JetMap(
        tuple(modulations), tuple(pressures_kpa), tuple(viscosities_mpa_s), states, broken
    )


def _state(model: JetModel, setting: JetSetting) -> JetState | None:
    """None for a pressure that throws no jet of any speed."""
    try:
        return model.state(setting)
    except InputError:
        return None

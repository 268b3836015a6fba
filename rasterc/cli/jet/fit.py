"""What `rasterc jet --fit` works out: a profile fitted to what a bench has measured."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from msgspec import to_builtins

from rasterc.cli.jet.worked_out import JetOutcome
from rasterc.diagnostics import Severity
from rasterc.head.limits import FlightFault
from rasterc.head.wake import MOST_WAKE
from rasterc.output.flights.tables import table_of
from rasterc.output.flights.text import wrapped
from rasterc.output.jets.fit import fit_lines, in_words
from rasterc.profile.load import parse_profile, profile_text
from rasterc.profile.rewrite import KeyPath, with_values
from rasterc.sweep.fit import COUPLING, FIELD, LIKELY, MODULATION, SPEED, WAKE, FitResult, fit_head
from rasterc.sweep.measured import load_measured

KEYS: dict[str, KeyPath] = {
    COUPLING: ("flight", "electrode", "capacitance_factor"),
    FIELD: ("flight", "plates", "field_mv_m"),
    WAKE: ("flight", "wake"),
    SPEED: ("flight", "jet", "jet_speed_m_s"),
    MODULATION: ("flight", "jet", "modulation"),
}


def fit_study(profile: Path, measured: Path, written: bool) -> JetOutcome:
    """Fit a profile to measurements, to be written if so asked; raises `InputError`."""
    text = profile_text(profile)
    line_profile = parse_profile(text, str(profile))
    found = fit_head(line_profile, load_measured(measured))
    rows: list[dict[str, Any]] = [
        {
            "reading": in_words(one.reading),
            "value": one.reading.value,
            "sigma": one.reading.sigma,
            "model": one.model,
            "deviations": one.deviations,
        }
        for one in found.residuals
    ]
    lines = [
        wrapped(f'"{line_profile.name}" fitted to {len(rows)} readings', ""),
        *fit_lines(found),
    ]
    fit = {
        "values": [to_builtins(value) for value in found.values],
        "kept": list(found.kept),
        "readings": rows,
        "freedom": found.freedom,
        "likely": found.likely,
        "explains": found.explains,
    }
    fitted = fitted_profile(text, found) if written else None
    return JetOutcome(
        line_profile.name, lines, {"fit": fit}, table_of(rows), _faults(found), None, fitted
    )


def _faults(found: FitResult) -> list[FlightFault]:
    if found.explains:
        return []
    if found.explains is None:
        code, said = "too-few-readings", "the readings are too few to tell whether the model holds"
        help = "measure drops alone at several voltages, and pairs at several distances"
    else:
        code, said = "not-explained", "the model cannot explain the readings"
        help = "look at the worst readings and their deviations; do not rely on the fitted values"
    likely = found.likely or 0.0
    return [FlightFault(code, said, help, Severity.WARNING, likely, LIKELY, "chance")]


def fitted_profile(text: str, found: FitResult) -> bytes:
    """The profile's text with the fitted values in it; raises `InputError`.

    Where the readings do not confirm the model, the band of the wake holds the profile's own too:
    how sure the fit is says nothing then.
    """
    values: dict[KeyPath, Any] = {}
    flight = parse_profile(text, "the profile").flight
    assert flight is not None
    jet = tomllib.loads(text)["flight"]["jet"]
    for one in found.values:
        path = KEYS[one.name]
        if one.name == WAKE:
            low, high = one.low, one.high
            if not found.explains:
                low, high = min(low, *flight.wake), max(high, *flight.wake)
            band = [min(max(value, 0.0), MOST_WAKE) for value in (low, one.value, high)]
            values[path] = [float(f"{value:.4g}") for value in band]
        elif one.name == MODULATION and found.seen_mm is not None and "breakup_mm" in jet:
            values[*path[:-1], "breakup_mm"] = float(f"{found.seen_mm:.4g}")
        else:
            values[path] = float(f"{one.value:.5g}")
    whole = with_values(text, values, "fitted, jet --fit")
    parse_profile(whole, "the fitted profile")
    return whole.encode()

"""The extremes that can be asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import expm1, pi

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.extremes.group import HIGHEST, LOWEST
from rasterc.extremes.meter import RISK_STEPS, Risk
from rasterc.head.timing import timing
from rasterc.profile.model import LineProfile


@dataclass(frozen=True, slots=True)
class Kind:
    """An extreme that can be asked for."""

    title: str
    sense: int
    unit: str


KINDS: Mapping[str, Kind] = {
    "longest": Kind("longest code", HIGHEST, "strokes"),
    "shortest": Kind("shortest code", LOWEST, "strokes"),
    "most-drops": Kind("most drops", HIGHEST, "drops"),
    "densest": Kind("most drops in any {window} strokes", HIGHEST, "drops"),
    "most-characters": Kind("most characters", HIGHEST, "characters"),
    "fewest-characters": Kind("fewest characters", LOWEST, "characters"),
    "misread-risk": Kind("misread risk, no context", HIGHEST, ""),
}
"""The extremes by name. The misread risk needs a weight for each character."""


def wanted_kinds(measures: Sequence[str], risk: Risk | None) -> list[str]:
    """The names asked for, all that are known when none is; raises `InputError`."""
    faults = [
        Diagnostic(
            "unknown-measure", f'there is no measure "{name}"', help=did_you_mean(name, KINDS)
        )
        for name in measures
        if name not in KINDS
    ]
    if "misread-risk" in measures and risk is None:
        help = "give a risk for each character"
        faults.append(
            Diagnostic("no-risk", "the misread risk of characters is not known", help=help)
        )
    if faults:
        raise InputError(faults)
    names = measures or [name for name in KINDS if name != "misread-risk" or risk is not None]
    return list(dict.fromkeys(names))


def converted(
    name: str, value: int, profile: LineProfile | None, drops_high: int
) -> tuple[float, str] | None:
    """A length in mm at the speed that makes it longest; ink of drops of pi d^3 / 6 each; a risk
    as the chance that some character is misread."""
    unit = KINDS[name].unit
    if name == "misread-risk":
        return -100 * expm1(-value / RISK_STEPS), "% misread"
    if profile is None:
        return None
    if unit == "drops":
        return value * pi * (profile.head.drop_diameter_um / 1000) ** 3 / 6, "ul of ink"
    raster = profile.raster(drops_high)
    if unit != "strokes" or raster is None:
        return None
    lengths = (timing(profile, raster, value, v).length_mm for v in profile.line.speeds_m_s)
    return max(lengths), "mm"

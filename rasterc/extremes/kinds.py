"""The extremes that can be asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import pi

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.extremes.group import HIGHEST, LOWEST
from rasterc.head.timing import height_mm, timing
from rasterc.profile.model import LineProfile


@dataclass(frozen=True, slots=True)
class Kind:
    """An extreme that can be asked for.

    ``measure`` is what it and its counterpart are extremes of.
    """

    title: str
    sense: int
    unit: str
    measure: str


LONGEST, SHORTEST = "longest", "shortest"
MOST_DROPS, FEWEST_DROPS = "most-drops", "fewest-drops"
MOST_CHARACTERS, FEWEST_CHARACTERS = "most-characters", "fewest-characters"
LOWEST_HEIGHT, HIGHEST_HEIGHT = "lowest", "highest"
DENSEST, MISREAD_RISK = "densest", "misread-risk"

KINDS: Mapping[str, Kind] = {
    LONGEST: Kind("longest code", HIGHEST, "strokes", "length"),
    SHORTEST: Kind("shortest code", LOWEST, "strokes", "length"),
    MOST_DROPS: Kind("most drops", HIGHEST, "drops", "drops"),
    FEWEST_DROPS: Kind("fewest drops", LOWEST, "drops", "drops"),
    DENSEST: Kind("most drops in any {window} strokes", HIGHEST, "drops", "densest window"),
    MOST_CHARACTERS: Kind("most characters", HIGHEST, "characters", "characters"),
    FEWEST_CHARACTERS: Kind("fewest characters", LOWEST, "characters", "characters"),
    LOWEST_HEIGHT: Kind("smallest line at its lowest", LOWEST, "rows", "height"),
    HIGHEST_HEIGHT: Kind("smallest line at its highest", HIGHEST, "rows", "height"),
    MISREAD_RISK: Kind("greatest misread risk", HIGHEST, "% misread", "misread risk"),
}
"""The extremes by name. The misread risk needs a share of lost drops."""


def wanted_kinds(measures: Sequence[str], loss: float | None) -> list[str]:
    """The names asked for, all that can be told when none is; raises `InputError`."""
    faults = [
        Diagnostic(
            "unknown-measure", f'there is no measure "{name}"', help=did_you_mean(name, KINDS)
        )
        for name in measures
        if name not in KINDS
    ]
    if MISREAD_RISK in measures and loss is None:
        help = "give the share of drops that are lost"
        faults.append(Diagnostic("no-risk", "the misread risk is not known", help=help))
    if faults:
        raise InputError(faults)
    names = measures or [name for name in KINDS if name != MISREAD_RISK or loss is not None]
    return list(dict.fromkeys(names))


def converted(
    name: str, value: float, profile: LineProfile | None, drops_high: int
) -> tuple[float, str] | None:
    """A length in mm at the speed that makes it longest, a height in mm; ink of drops of
    pi d^3 / 6 each."""
    if profile is None:
        return None
    match KINDS[name].unit:
        case "drops":
            return value * pi * (profile.head.drop_diameter_um / 1000) ** 3 / 6, "ul of ink"
        case "rows":
            pitch, dot = profile.head.row_pitch_mm, profile.product.dot_diameter_mm
            return height_mm(int(value), pitch, dot), "mm"
        case "strokes" if (raster := profile.raster(drops_high)) is not None:
            speeds = profile.line.speeds_m_s
            return max(timing(profile, raster, int(value), v).length_mm for v in speeds), "mm"
    return None

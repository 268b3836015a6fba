"""The extremes that can be asked for."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import pi

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.extremes.group import HIGHEST, LOWEST
from rasterc.extremes.meter import (
    LineForm,
    Meter,
    characters_meter,
    drops_meter,
    strokes_meter,
)
from rasterc.head.timing import height_mm, timing
from rasterc.layout import Composer
from rasterc.profile.model import LineProfile
from rasterc.values import Plan

Convert = Callable[[float, LineProfile, int], tuple[float, str] | None]
"""A value by a profile and the drops of its raster, with its unit; None where it cannot be."""


def _mm_long(strokes: float, profile: LineProfile, drops_high: int) -> tuple[float, str] | None:
    """At the speed that makes it longest."""
    raster = profile.raster(drops_high)
    if raster is None:
        return None
    speeds = profile.line.speeds_m_s
    return max(timing(profile, raster, int(strokes), v).length_mm for v in speeds), "mm"


def _ink(drops: float, profile: LineProfile, _: int) -> tuple[float, str]:
    """Drops of pi d^3 / 6 each."""
    return drops * pi * (profile.head.drop_diameter_um / 1000) ** 3 / 6, "ul of ink"


def _mm_high(rows: float, profile: LineProfile, _: int) -> tuple[float, str]:
    pitch, dot = profile.head.row_pitch_mm, profile.product.dot_diameter_mm
    return height_mm(int(rows), pitch, dot), "mm"


@dataclass(frozen=True, slots=True)
class Quantity:
    """What extremes are looked for of.

    Attributes:
        name: what it is called.
        unit: the unit of its values.
        meter: what measures it over the values of fields; None where it is found otherwise.
        convert: its values by a line profile.
    """

    name: str
    unit: str
    meter: Callable[[Plan, Sequence[LineForm], Composer], Meter] | None = None
    convert: Convert = lambda *_: None


LENGTH = Quantity("length", "strokes", strokes_meter, _mm_long)
DROPS = Quantity("drops", "drops", drops_meter, _ink)
WINDOW = Quantity("densest window", "drops", convert=_ink)
CHARACTERS = Quantity("characters", "characters", characters_meter)
HEIGHT = Quantity("height", "rows", convert=_mm_high)
RISK = Quantity("misread risk", "% misread")


@dataclass(frozen=True, slots=True)
class Kind:
    """An extreme that can be asked for: the least or the greatest of a quantity."""

    title: str
    sense: int
    of: Quantity


LONGEST, SHORTEST = "longest", "shortest"
MOST_DROPS, FEWEST_DROPS = "most-drops", "fewest-drops"
MOST_CHARACTERS, FEWEST_CHARACTERS = "most-characters", "fewest-characters"
LOWEST_HEIGHT, HIGHEST_HEIGHT = "lowest", "highest"
DENSEST, MISREAD_RISK = "densest", "misread-risk"

KINDS: Mapping[str, Kind] = {
    LONGEST: Kind("longest code", HIGHEST, LENGTH),
    SHORTEST: Kind("shortest code", LOWEST, LENGTH),
    MOST_DROPS: Kind("most drops", HIGHEST, DROPS),
    FEWEST_DROPS: Kind("fewest drops", LOWEST, DROPS),
    DENSEST: Kind("most drops in any {window} strokes", HIGHEST, WINDOW),
    MOST_CHARACTERS: Kind("most characters", HIGHEST, CHARACTERS),
    FEWEST_CHARACTERS: Kind("fewest characters", LOWEST, CHARACTERS),
    LOWEST_HEIGHT: Kind("smallest line at its lowest", LOWEST, HEIGHT),
    HIGHEST_HEIGHT: Kind("smallest line at its highest", HIGHEST, HEIGHT),
    MISREAD_RISK: Kind("greatest misread risk", HIGHEST, RISK),
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


def both_ways(quantity: Quantity) -> tuple[str, str]:
    """The names of the least and of the greatest of a quantity."""
    names = {kind.sense: name for name, kind in KINDS.items() if kind.of is quantity}
    return names[LOWEST], names[HIGHEST]

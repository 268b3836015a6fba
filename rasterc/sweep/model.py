"""A job, its cases, and the figures a case comes to. All of them travel as JSON."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum
from hashlib import sha256
from typing import Any, TypeAlias

import msgspec
from msgspec import Struct

from rasterc.head.version import model_version
from rasterc.profile.model import LineProfile, RasterTiming


class Charges(StrEnum):
    """How the charges of the drops are chosen."""

    SOLVED = "solved"  # for the speed and the throw that are flown
    FIXED = "fixed"  # for the usual speed and throw, and kept
    FOLLOWED = "followed"  # for another speed, by a head that follows the line in steps
    ALONE = "alone"  # each drop as if it flew alone: no correction at all


class JetChange(Struct, frozen=True):
    """A jet that has drifted; each figure is a factor on its usual value.

    ``mass`` is that of drops from a jet of another width: what speed and density do to it comes
    by itself.
    """

    speed: float = 1.0
    mass: float = 1.0
    viscosity: float = 1.0
    density: float = 1.0
    surface_tension: float = 1.0


class Case(Struct, frozen=True):
    """One flight of the message of a job.

    ``order`` is another firing order than the raster's, ``jet`` a jet that has drifted. A drifted
    jet is flown with `Charges.FIXED`: the head does not know of the drift. ``encoder_phase`` tells
    how far into a step of the encoder the code begins, 0 to 1; ``trigger_us`` how late, or early,
    the product is seen, None where that is not looked at. ``solved_at_m_s`` is the speed that
    `Charges.FOLLOWED` were solved for.
    """

    speed_m_s: float
    throw_mm: float
    charges: Charges = Charges.SOLVED
    order: tuple[int, ...] | None = None
    jet: JetChange | None = None
    encoder_phase: float = 0.0
    trigger_us: float | None = None
    solved_at_m_s: float | None = None


class Job(Struct, frozen=True):
    """What is flown, and what is usual for it.

    Attributes:
        profile: the line profile, with its flight.
        raster: how strokes are thrown.
        columns: one whole number per stroke, bit r set when row r is printed.
        character_rows: drops high of the smallest capitals of the message.
        speed_m_s: the usual line speed; the usual throw and the wakes are the profile's.
    """

    profile: LineProfile
    raster: RasterTiming
    columns: tuple[int, ...]
    character_rows: int
    speed_m_s: float

    @property
    def wakes(self) -> tuple[float, ...]:
        """Strengths of the wakes every case is solved and flown for: ends and middle of a band."""
        assert self.profile.flight is not None
        return tuple(dict.fromkeys(self.profile.flight.wake))

    @property
    def throw_mm(self) -> float:
        """The usual throw."""
        return self.profile.head.throw_mm

    def usual(self, charges: Charges = Charges.SOLVED) -> Case:
        """The usual speed and throw."""
        return Case(self.speed_m_s, self.throw_mm, charges)

    def key(self) -> str:
        """Tells jobs apart, and versions of the model: results of other keys are of no use."""
        text = msgspec.json.encode(self) + model_version().encode()
        return sha256(text).hexdigest()


class Figures(Struct, frozen=True):
    """What one flight comes to.

    Placement is measured from the evenly spaced, evenly leaning grid nearest to the landed drops:
    a code that is larger, lower or leans more as a whole reads as well, and is told by
    ``height_mm``, ``lowest_mm`` and ``slant_deg``. None stands for a figure of drops that do not
    land.

    Attributes:
        worst_mm, rms_mm: distance of drops from that grid.
        dx_mm, dy_mm: the largest along the travel, and across it.
        worst_pitches: the larger of dx_mm in wanted stroke pitches and dy_mm in wanted row pitches.
        lowest_mm: deflection of row 0.
        row_pitch_mm: distance between rows.
        height_mm: capitals of the message, the drop included.
        slant_deg: lean of the strokes; positive to later strokes.
        merged: drops that touch another in flight.
        near: least separation of two drops in flight, in diameters; None if none was near.
        lost: drops that do not land, or strike a plate.
        stroke_pitch_mm: distance of strokes as thrown.
        charge: highest charge, of Rayleigh's limit.
        least_v, most_v: voltages the electrode is asked for.
        residual_mm: how far off its row the search left a drop; 0 when not solved here.
        breakup_mm, breakup_periods: how much later than usual drops break off, along the jet and
            in drop periods; None for a jet that has not drifted, or the profile does not tell of.
        start_mm: how late on the product the code begins; None where that was not looked at.
        length_mm: of the whole code, longer while the line speeds up.
    """

    worst_mm: float | None
    rms_mm: float | None
    dx_mm: float | None
    dy_mm: float | None
    worst_pitches: float | None
    lowest_mm: float | None
    row_pitch_mm: float | None
    height_mm: float | None
    slant_deg: float | None
    merged: int
    near: float | None
    lost: int
    stroke_pitch_mm: float
    charge: float
    least_v: float
    most_v: float
    residual_mm: float | None
    breakup_mm: float | None = None
    breakup_periods: float | None = None
    start_mm: float | None = None
    length_mm: float | None = None


class Band(Struct, frozen=True):
    """A case flown under each of the job's wakes, weakest first, with charges solved under it."""

    wakes: tuple[float, ...]
    figures: tuple[Figures, ...]

    @property
    def worst(self) -> Figures:
        """The worst of each figure; None where one flight has none."""
        worst: dict[str, Any] = {}
        for name in Figures.__struct_fields__:
            values = [getattr(figures, name) for figures in self.figures]
            known = [value for value in values if value is not None]
            missing = len(known) < len(values) and name not in _FAR
            worst[name] = None if missing or not known else _worst(name, known)
        return Figures(**worst)


_LESS = ("near", "least_v", "height_mm", "lowest_mm", "row_pitch_mm")  # less of it is worse
_FAR = ("near",)  # None where drops are far from each other: nothing is wrong


def _worst(name: str, values: list[Any]) -> Any:
    return min(values) if name in _LESS else max(values, key=abs)


Fly: TypeAlias = Callable[[Job, Sequence[Case]], Mapping[Case, Band]]
"""What flies cases of a job: here, in a pool or on a cluster."""

"""Firing orders of one raster, rasters at one height of text, and charges as a line runs up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil, floor, hypot, inf, log10, sqrt

from msgspec import structs

from rasterc.head.plan import firing_order
from rasterc.head.timing import max_speed_m_s, stroke_rate_limit_hz
from rasterc.profile.model import LineProfile, RasterTiming
from rasterc.reading.model import MAX_SPREAD, SPREAD, Bracket
from rasterc.sweep.judge import band_failures, holds
from rasterc.sweep.model import Band, Case, Charges, Fly, Job

RUN_UP_CHARGES = (Charges.FIXED, Charges.FOLLOWED, Charges.SOLVED)
SPEED_STEP = 0.05  # how nearly the fastest speed is looked for
READS_WELL = 1e-3  # a misread code in a thousand: what is below it counts alike; assumption
RUN_UP = (0.125, 0.25, 0.5, 0.75, 1.0)  # of the fastest speed that a raster follows


def firing_orders(raster: RasterTiming) -> Mapping[str, tuple[int, ...]]:
    """Firing orders by name; that of the raster itself is among them.

    >>> firing_orders(RasterTiming(drops=5))["every second row"]
    (0, 2, 4, 1, 3)
    """
    rows = tuple(range(raster.drops))
    inward = tuple(row for pair in zip(rows, reversed(rows), strict=True) for row in pair)
    return {
        "low row first": rows,
        "high row first": rows[::-1],
        "every second row": rows[::2] + rows[1::2],
        "outside in": inward[: raster.drops],
    }


def firing_cases(job: Job) -> dict[str, Case]:
    """The usual speed and throw in each firing order."""
    usual = job.usual()
    return {
        name: structs.replace(usual, order=order)
        for name, order in firing_orders(job.raster).items()
    }


def own_order(job: Job) -> str:
    """The name of the raster's own firing order."""
    own = firing_order(job.raster)
    return next(name for name, order in firing_orders(job.raster).items() if order == own)


def fastest_m_s(profile: LineProfile, raster: RasterTiming) -> float:
    """The line speed up to which a raster follows."""
    limit = stroke_rate_limit_hz(raster, profile.head.drop_frequency_hz)
    return max_speed_m_s(limit, profile.line.stroke_pitch_mm)


def run_up_cases(job: Job) -> list[Case]:
    """The line running up to the fastest the raster follows, with charges made three ways.

    Kept from the usual speed; followed in steps, so that those of the speed before are still on;
    and solved for each speed.
    """
    fastest = fastest_m_s(job.profile, job.raster)
    speeds = sorted({_three_digits(part * fastest) for part in RUN_UP} | {job.speed_m_s})
    before = dict(zip(speeds[1:], speeds, strict=False)) | {speeds[0]: speeds[0]}
    return [
        Case(v, job.throw_mm, kind, solved_at_m_s=before[v] if kind is Charges.FOLLOWED else None)
        for kind in RUN_UP_CHARGES
        for v in speeds
    ]


def _three_digits(speed_m_s: float) -> float:
    """A speed to three digits that is not beyond it."""
    scale: float = 10.0 ** (2 - floor(log10(speed_m_s)))
    return floor(speed_m_s * scale + 1e-6) / scale


def height_part(rows: int, base_rows: int) -> float:
    """By what to change pitches so that ``rows`` drops stand as high as ``base_rows``."""
    return (base_rows - 1) / (rows - 1)


def follow_part(profile: LineProfile, raster: RasterTiming, speed_m_s: float) -> float:
    """By what to widen pitches so that a raster follows a line; 1 where it does anyway."""
    return max(1.0, speed_m_s / fastest_m_s(profile, raster) * (1 + 1e-9))


def pitched(profile: LineProfile, raster: RasterTiming, part: float) -> LineProfile:
    """The profile with one raster, and its pitches changed by the same part.

    Rows and strokes come closer, or move apart, so that characters keep their shape.
    """
    return structs.replace(
        profile,
        head=structs.replace(profile.head, row_pitch_mm=profile.head.row_pitch_mm * part),
        line=structs.replace(profile.line, stroke_pitch_mm=profile.line.stroke_pitch_mm * part),
        rasters=[raster],
    )


@dataclass(frozen=True, slots=True)
class Rival:
    """A raster in one firing order with the lines it is to carry, flown.

    Attributes:
        job, case, band: what was flown, and what came of it.
        order: the name of the firing order; ``own`` tells that it is the raster's.
        lines, font_rows: how many lines, of how many drops each.
        follows_m_s: line speed up to which the strokes can be thrown.
        reached_m_s: the fastest flown at which the code holds; None where it does not at all.
        drops, characters, ink_ug: drops, characters and ink of the whole code.
        misread: the chance that some character is misread; None where that cannot be said.
    """

    job: Job
    case: Case
    band: Band
    order: str
    own: bool
    lines: int
    font_rows: int
    follows_m_s: float
    reached_m_s: float | None
    drops: int
    characters: int
    ink_ug: float
    misread: Bracket | None

    @property
    def name(self) -> str:
        """The raster, its lines and its order."""
        many = "line" if self.lines == 1 else "lines"
        raster = f"raster {self.job.raster.drops}, {self.lines} {many} of {self.font_rows}"
        return f"{raster}, {self.order}"


def reached(rival: Rival, fly: Fly) -> float | None:
    """The fastest line at which a code holds, up to what its raster follows, to `SPEED_STEP`.

    Each speed that is told was flown. None if it does not hold at the speed it was flown at.
    """
    if not holds(rival.job, rival.band):
        return None
    good, bad = rival.case.speed_m_s, _three_digits(rival.follows_m_s)
    if bad <= good:
        return good

    def held(speed_m_s: float) -> bool:
        case = structs.replace(rival.case, speed_m_s=speed_m_s)
        return holds(rival.job, fly(rival.job, [case])[case])

    if held(bad):
        return bad
    while bad > good * (1 + SPEED_STEP):
        middle = _three_digits((good + bad) / 2)
        good, bad = (middle, bad) if held(middle) else (good, middle)
    return good


def reading_spread(job: Job, band: Band) -> float | None:
    """How far drops land beside their places, in row pitches, for the model of reading.

    What it takes a drop to scatter anyway, and what flight adds; None where that is more than the
    model of reading reaches, or drops are lost.
    """
    rms_mm, row_pitch_mm = band.worst.rms_mm, job.profile.head.row_pitch_mm
    if rms_mm is None:
        return None
    spread = ceil(hypot(SPREAD, rms_mm / sqrt(2) / row_pitch_mm) * 100 - 1e-6) / 100
    return spread if spread <= MAX_SPREAD else None


def ranked(wanted_m_s: float, rivals: Iterable[Rival]) -> list[Rival]:
    """Best first, each by the worst of all wakes.

    What holds comes before what does not, what reaches the line's speed before what does not, and
    among those what is misread least, then what takes less ink; what is misread less than
    `READS_WELL` counts alike. What does not reach it is ranked by
    the speed it reaches, what does not hold by how much of it fails.
    """
    return sorted(rivals, key=lambda rival: _rank(wanted_m_s, rival))


def _rank(wanted_m_s: float, rival: Rival) -> tuple[float, ...]:
    failed = len(band_failures(rival.job, rival.band))
    if rival.reached_m_s is None:
        off = rival.band.worst.worst_pitches
        return 2, failed, inf if off is None else off
    if rival.reached_m_s < wanted_m_s:
        return 1, -rival.reached_m_s, _most(rival)
    off = rival.band.worst.worst_pitches
    return 0, max(_most(rival), READS_WELL), rival.ink_ug, inf if off is None else off


def _most(rival: Rival) -> float:
    return inf if rival.misread is None else rival.misread.high

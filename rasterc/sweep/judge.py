"""Whether a flight leaves a code that can be read and a head that can do it."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from math import floor, radians, tan

from rasterc.head.plan import guard_drops_in_words
from rasterc.head.timing import max_speed_m_s, stroke_rate_limit_hz, tilt
from rasterc.profile.model import Firing
from rasterc.sweep.drifted import breakup_room
from rasterc.sweep.model import Band, Case, Figures, Job

MOST_PITCHES = 0.5  # a drop further off is nearer to the next place: geometry
MOST_SLANT_DEG = 20.0  # as the rule `slant`: common practice, no source
MOST_CHARGE = 1.0  # Rayleigh's limit itself
UNSOLVED_MM = 5e-3  # what the search may leave without a word; below any limit of reading


class Verdict(StrEnum):
    """What comes out for a case over the band of wakes."""

    HOLDS = "holds throughout"
    DEPENDS = "depends on the wake"
    FAILS = "fails"


def verdict(job: Job, band: Band) -> Verdict:
    """Whether a code can be thrown and read whatever the wakes are."""
    failed = [bool(failures(job, figures)) for figures in band.figures]
    if all(failed):
        return Verdict.FAILS
    return Verdict.DEPENDS if any(failed) else Verdict.HOLDS


def holds_followed(job: Job, band: Band) -> bool:
    """Whether it would hold if the phase of charging followed the place of breakup."""
    return set(band_failures(job, band)) <= {Failure.PHASE}


def holds(job: Job, band: Band) -> bool:
    """Whether it can be thrown and read under every wake."""
    return verdict(job, band) is Verdict.HOLDS


def band_failures(job: Job, band: Band) -> tuple[Failure, ...]:
    """Everything that fails under one wake at least."""
    found = [failure for figures in band.figures for failure in failures(job, figures)]
    return tuple(failure for failure in Failure if failure in found)


class Failure(StrEnum):
    """What makes a code unreadable, or cannot be done."""

    LOST = "lost drops"
    CHARGE = "charge"
    VOLTS = "amplifier"
    MERGE = "merge"
    PLACEMENT = "placement"
    HEIGHT = "height"
    GAPS = "closed gaps"
    SLANT = "slant"
    RATE = "stroke rate"
    PHASE = "charge phase"
    BREAKUP = "breakup place"
    WINDOW = "print window"


def failures(job: Job, figures: Figures) -> tuple[Failure, ...]:
    """Everything that fails; nothing when the code can be thrown and read."""
    return tuple(_failures(job, figures))


def _failures(job: Job, f: Figures) -> Iterator[Failure]:
    flight = job.profile.flight
    assert flight is not None
    least_mm = job.profile.product.min_character_height_mm
    if f.lost or f.worst_pitches is None:
        yield Failure.LOST
    if f.charge > MOST_CHARGE:
        yield Failure.CHARGE
    if not flight.electrode.min_v <= f.least_v <= f.most_v <= flight.electrode.max_v:
        yield Failure.VOLTS
    if f.merged:
        yield Failure.MERGE
    if f.worst_pitches is not None and _pitches_off(job, f) >= MOST_PITCHES:
        yield Failure.PLACEMENT
    if f.height_mm is None or (least_mm is not None and f.height_mm + 1e-9 < least_mm):
        yield Failure.HEIGHT
    if f.row_pitch_mm is not None and 2 * f.row_pitch_mm <= job.profile.product.dot_diameter_mm:
        yield Failure.GAPS  # geometry, as the rule `gaps-close`
    if f.slant_deg is None or abs(f.slant_deg) > MOST_SLANT_DEG:
        yield Failure.SLANT
    if f.stroke_pitch_mm > job.profile.line.stroke_pitch_mm * (1 + 1e-9):
        yield Failure.RATE
    yield from _around(job, f)


def _around(job: Job, f: Figures) -> Iterator[Failure]:
    """What fails without any flight: charging as breakup moves, and the place on the product."""
    if f.breakup_mm is not None:
        room = breakup_room(job.profile)
        followed = job.profile.flight is not None and job.profile.flight.electrode.phase_followed
        if not followed and abs(f.breakup_periods or 0.0) > room.periods:
            yield Failure.PHASE
        if f.breakup_mm > room.later_mm or -f.breakup_mm > room.sooner_mm:
            yield Failure.BREAKUP
    if _outside_window(job, f):
        yield Failure.WINDOW


def _outside_window(job: Job, f: Figures) -> bool:
    window_mm = job.profile.line.print_window_mm
    if window_mm is None or f.start_mm is None or f.length_mm is None:
        return False
    return f.length_mm + 2 * abs(f.start_mm) > window_mm


def in_words(job: Job, case: Case, figures: Figures, failure: Failure) -> str:
    """A failure with its number and, where one is known, the number that would do."""
    f, line, flight = figures, job.profile.line, job.profile.flight
    assert flight is not None
    match failure:
        case Failure.LOST:
            return f"{f.lost} drops do not reach the product"
        case Failure.CHARGE:
            return f"a drop needs {f.charge * 100:.0f} % of the charge at which it bursts"
        case Failure.VOLTS:
            low, high = flight.electrode.min_v, flight.electrode.max_v
            return (
                f"{f.least_v:.0f} to {f.most_v:.0f} V needed, the amplifier has {low:g} to {high:g}"
            )
        case Failure.MERGE:
            return f"{f.merged} drops touch another in flight: {more_room(job)}"
        case Failure.PLACEMENT:
            off = _pitches_off(job, f)
            return f"a drop lands {off:.2f} pitches off, {MOST_PITCHES:g} is the limit"
        case Failure.HEIGHT:
            height = "not to be told" if f.height_mm is None else f"{f.height_mm:.2f} mm"
            least = job.profile.product.min_character_height_mm
            return f"characters are {height} high" + (f", {least:g} mm asked for" if least else "")
        case Failure.GAPS:
            return (
                f"rows land {f.row_pitch_mm:.2f} mm apart: drops of "
                f"{job.profile.product.dot_diameter_mm:g} mm close the gap one missing drop leaves"
            )
        case Failure.SLANT:
            return _slant_in_words(case, f)
        case Failure.RATE:
            limit = stroke_rate_limit_hz(job.raster, job.profile.head.drop_frequency_hz)
            fastest = max_speed_m_s(limit, line.stroke_pitch_mm)
            longer = f.stroke_pitch_mm / line.stroke_pitch_mm
            return (
                f"the code is stretched to {longer:.1f} times its length: "
                f"the raster follows up to {rounded_down(fastest):g} m/s"
            )
        case Failure.PHASE | Failure.BREAKUP | Failure.WINDOW:
            return _around_in_words(job, f, failure)


def _around_in_words(job: Job, f: Figures, failure: Failure) -> str:
    if failure is Failure.WINDOW:
        return (
            f"the code of {f.length_mm:.1f} mm begins {f.start_mm:+.2f} mm beside its place, in a "
            f"window of {job.profile.line.print_window_mm:g} mm"
        )
    room = breakup_room(job.profile)
    if failure is Failure.BREAKUP:
        return (
            f"drops break off {f.breakup_mm:+.2f} mm further from the nozzle, "
            f"{-room.sooner_mm:.2f} to {room.later_mm:+.2f} mm are left"
        )
    return (
        f"drops break off {f.breakup_periods:+.2f} drop periods later, {room.periods:.2f} either "
        "way is the limit: hold the ink, or let the phase of charging follow"
    )


def _pitches_off(job: Job, f: Figures) -> float:
    """How far the worst drop is off: its place among the others, or the row it was solved for.

    A code of a few rows can be off its rows and yet even.
    """
    solved = (f.residual_mm or 0.0) / job.profile.head.row_pitch_mm
    return max(f.worst_pitches or 0.0, solved)


def more_room(job: Job) -> str:
    """What keeps drops apart in flight, as far as the raster leaves it to be done."""
    turn = "" if job.raster.firing is Firing.LOW_FIRST else ", or fire the low row first"
    return f"throw {guard_drops_in_words(job.raster.guard_drops + 1)}{turn}"


def rounded_down(speed_m_s: float) -> float:
    """A speed to two digits behind the point that is not beyond it."""
    return floor(speed_m_s * 100 + 1e-6) / 100


def _slant_in_words(case: Case, f: Figures) -> str:
    if f.slant_deg is None:
        return "no stroke lands whole"
    said = f"strokes lean by {abs(f.slant_deg):.0f} degrees, {MOST_SLANT_DEG:g} is the limit"
    if abs(f.slant_deg) >= 89:
        return said
    lean = abs(tan(radians(f.slant_deg)))
    slower = rounded_down(case.speed_m_s * tan(radians(MOST_SLANT_DEG)) / lean)
    turned = tilt(lean)
    if turned is None:
        return f"{said}: slow to {slower:g} m/s; no tilt of the head makes up for it"
    angle, lower = turned
    return (
        f"{said}: slow to {slower:g} m/s or tilt the head by {angle:.0f} degrees, which "
        f"costs {lower * 100:.0f} % of the height"
    )

"""Whether a flight leaves a code that can be read and a head that can do it."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum
from math import radians, tan

from rasterc.head.timing import max_speed_m_s, stroke_rate_limit_hz
from rasterc.sweep.model import Case, Figures, Job

MOST_PITCHES = 0.5  # a drop further off is nearer to the next place: geometry
MOST_SLANT_DEG = 20.0  # as the rule `slant`: common practice, no source
MOST_CHARGE = 1.0  # Rayleigh's limit itself
UNSOLVED_MM = 1e-3  # five times what the solver is content with, as `head.limits`


class Failure(StrEnum):
    """What makes a code unreadable, or cannot be done."""

    LOST = "lost drops"
    UNSOLVED = "no solution"
    CHARGE = "charge"
    VOLTS = "amplifier"
    MERGE = "merge"
    PLACEMENT = "placement"
    HEIGHT = "height"
    SLANT = "slant"
    RATE = "stroke rate"


def failures(job: Job, figures: Figures) -> tuple[Failure, ...]:
    """Everything that fails; nothing when the code can be thrown and read."""
    return tuple(_failures(job, figures))


def _failures(job: Job, f: Figures) -> Iterator[Failure]:
    flight = job.profile.flight
    assert flight is not None
    least_mm = job.profile.product.min_character_height_mm
    if f.lost or f.worst_pitches is None:
        yield Failure.LOST
    if f.residual_mm is None or f.residual_mm > UNSOLVED_MM:
        yield Failure.UNSOLVED
    if f.charge > MOST_CHARGE:
        yield Failure.CHARGE
    if not flight.electrode.min_v <= f.least_v <= f.most_v <= flight.electrode.max_v:
        yield Failure.VOLTS
    if f.merged:
        yield Failure.MERGE
    if f.worst_pitches is not None and f.worst_pitches >= MOST_PITCHES:
        yield Failure.PLACEMENT
    if f.height_mm is None or (least_mm is not None and f.height_mm + 1e-9 < least_mm):
        yield Failure.HEIGHT
    if f.slant_deg is None or abs(f.slant_deg) > MOST_SLANT_DEG:
        yield Failure.SLANT
    if f.stroke_pitch_mm > job.profile.line.stroke_pitch_mm * (1 + 1e-9):
        yield Failure.RATE


def in_words(job: Job, case: Case, figures: Figures, failure: Failure) -> str:
    """A failure with its number and, where one is known, the number that would do."""
    f, line, flight = figures, job.profile.line, job.profile.flight
    assert flight is not None
    match failure:
        case Failure.LOST:
            return f"{f.lost} drops do not reach the product"
        case Failure.UNSOLVED:
            left = "far" if f.residual_mm is None else f"{f.residual_mm:.3f} mm"
            return f"no charges put every drop on its row: {left} off at best"
        case Failure.CHARGE:
            return f"a drop needs {f.charge * 100:.0f} % of the charge at which it bursts"
        case Failure.VOLTS:
            low, high = flight.electrode.min_v, flight.electrode.max_v
            return (
                f"{f.least_v:.0f} to {f.most_v:.0f} V needed, the amplifier has {low:g} to {high:g}"
            )
        case Failure.MERGE:
            return f"{f.merged} drops touch another in flight: add guard drops"
        case Failure.PLACEMENT:
            return f"a drop lands {f.worst_pitches:.2f} pitches off, {MOST_PITCHES:g} is the limit"
        case Failure.HEIGHT:
            height = "not to be told" if f.height_mm is None else f"{f.height_mm:.2f} mm"
            least = job.profile.product.min_character_height_mm
            return f"characters are {height} high" + (f", {least:g} mm asked for" if least else "")
        case Failure.SLANT:
            return _slant_in_words(case, f)
        case Failure.RATE:
            limit = stroke_rate_limit_hz(job.raster, job.profile.head.drop_frequency_hz)
            fastest = max_speed_m_s(limit, line.stroke_pitch_mm)
            longer = f.stroke_pitch_mm / line.stroke_pitch_mm
            return (
                f"the code is stretched to {longer:.1f} times its length: "
                f"the raster follows up to {int(fastest * 100) / 100:g} m/s"
            )


def _slant_in_words(case: Case, f: Figures) -> str:
    if f.slant_deg is None:
        return "no stroke lands whole"
    said = f"strokes lean by {abs(f.slant_deg):.0f} degrees, {MOST_SLANT_DEG:g} is the limit"
    if abs(f.slant_deg) >= 89:
        return said
    slower = case.speed_m_s * tan(radians(MOST_SLANT_DEG)) / abs(tan(radians(f.slant_deg)))
    return f"{said}: slow to {int(slower * 100) / 100:g} m/s or tilt the head"

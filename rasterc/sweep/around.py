"""What goes on around a flight: where the jet breaks up, when the product is seen, how it moves."""

from __future__ import annotations

from math import radians, tan

from msgspec import structs

from rasterc.head.line import line_effects
from rasterc.sweep.drifted import breakup_shift
from rasterc.sweep.model import Band, Case, Figures, Job


def with_surroundings(job: Job, case: Case, band: Band) -> Band:
    """The figures of a case flown, with those that no flight tells.

    Raises:
        InputError: a profile that contradicts itself.
    """
    told: dict[str, float | None] = {}
    if case.jet is not None:
        shift = breakup_shift(job.profile, case.jet)
        told |= {"breakup_mm": shift.later_m * 1e3, "breakup_periods": shift.periods}
    if case.trigger_us is not None:
        told["start_mm"] = case.trigger_us * 1e-3 * case.speed_m_s
    longer = _longer(job, case)
    figures = (
        structs.replace(one, **told, length_mm=_length_mm(job, one, longer)) for one in band.figures
    )
    return Band(band.wakes, tuple(figures))


def _longer(job: Job, case: Case) -> float:
    """Part by which the code grows, or shrinks, while the line speeds up."""
    if job.profile.line.acceleration_m_s2 is None:
        return 0.0
    effects = line_effects(job.profile, [case.speed_m_s])
    return effects[0].longer or 0.0 if effects else 0.0


def _length_mm(job: Job, figures: Figures, longer: float) -> float:
    """From the first stroke to the last, the lean of the strokes and a dot included."""
    strokes_mm = (len(job.columns) - 1) * figures.stroke_pitch_mm * (1 + longer)
    pitch_mm, slant = figures.row_pitch_mm, figures.slant_deg
    if pitch_mm is None or slant is None:
        return strokes_mm + job.profile.product.dot_diameter_mm
    lean_mm = abs(tan(radians(slant))) * pitch_mm * (job.raster.drops - 1)
    return strokes_mm + lean_mm + job.profile.product.dot_diameter_mm

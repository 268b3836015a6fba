"""How fast the line of a profile runs, and how many products it brings."""

from __future__ import annotations

from rasterc.checks.subject import Subject, once
from rasterc.head.timing import SpeedTiming, timing
from rasterc.profile.model import LineProfile

MINUTES_PER_DAY = 24 * 60


@once
def timings(subject: Subject) -> tuple[SpeedTiming, ...]:
    """The timing of the code at every speed of the profile; none when it cannot be told."""
    profile, raster, layout = subject.profile, subject.raster, subject.layout
    if profile is None or raster is None or layout is None:
        return ()
    return tuple(timing(profile, raster, layout.length, v) for v in profile.line.speeds_m_s)


def stroke_pitch_mm(subject: Subject) -> float | None:
    """The widest pitch at which strokes are printed at any speed of the profile."""
    if subject.profile is None or subject.raster is None:
        return None
    line = subject.profile.line
    return max(
        timing(subject.profile, subject.raster, 1, v).stroke_pitch_mm for v in line.speeds_m_s
    )


def products_per_minute(profile: LineProfile) -> float | None:
    """Products that pass at the fastest speed, one behind another: speed / product pitch.

    None when the profile has no product pitch.
    """
    pitch = profile.line.product_pitch_mm
    return None if pitch is None else max(profile.line.speeds_m_s) * 60_000 / pitch


def most_products(profile: LineProfile, minutes: float) -> float | None:
    """The most products coded in so many minutes; None when the profile does not tell."""
    rate = products_per_minute(profile)
    stated = profile.product.products_per_day
    bounds = [] if rate is None else [rate * minutes]
    if stated is not None:
        bounds.append(stated * max(1.0, minutes // MINUTES_PER_DAY))  # a day may have 25 hours
    return min(bounds, default=None)

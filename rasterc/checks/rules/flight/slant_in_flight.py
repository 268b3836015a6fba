"""Lean of strokes once the flight is counted in."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor, radians, tan

from rasterc.checks.flown import (
    MODEL,
    flight_example,
    flown,
    where,
)
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.head.timing import slant_mm
from rasterc.sweep.judge import MOST_SLANT_DEG
from rasterc.sweep.model import Figures, Job


class SlantInFlight(Rule):
    """Lean of strokes once the flight is counted in."""

    id = "slant-in-flight"
    title = "The flight of the drops makes characters lean too far"
    severity = Severity.WARNING
    needs_profile = True
    samples = True
    flies = True
    rationale = (
        "Strongly deflected drops fly a longer way and lose speed in still air, so they arrive "
        "late and add to the lean of the strokes. Found only where `slant`, which looks at the "
        "firing alone, does not speak already."
    )
    source = f"limit of 20 degrees: common practice, no source; flight: {MODEL}"
    trips = flight_example(("[1.2]", "[3.1]"), ("pitch_mm = 0.35\np", "pitch_mm = 1\np"))
    passes = flight_example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each speed at which the flight makes strokes lean too far."""
        seen = flown(subject)
        for look in seen.speeds if seen else ():
            assert seen is not None
            lean, speed = look.figures.slant_deg, look.case.speed_m_s
            if lean is None or abs(lean) <= MOST_SLANT_DEG or _leans_anyway(seen.job, speed):
                continue
            slower = speed * _tangent(MOST_SLANT_DEG) / _tangent(abs(lean)) * _MARGIN
            yield self.finding(
                subject,
                f"{where(look, _leans)} the strokes lean by {abs(lean):.1f} degrees as they land",
                subject.message.raster_span,
                f"slow to {floor(slower * 100) / 100:g} m/s, or fire their other end first",
                measured=abs(lean),
                limit=MOST_SLANT_DEG,
                unit="degrees",
            )


def _leans(figures: Figures) -> bool:
    return figures.slant_deg is not None and abs(figures.slant_deg) > MOST_SLANT_DEG


_MARGIN = 0.97  # lean goes with speed but for the rounding of strokes to the drop grid


def _tangent(angle_deg: float) -> float:
    return tan(radians(angle_deg))


def _leans_anyway(job: Job, speed_m_s: float) -> bool:
    """Whether the strokes lean too far by their firing alone."""
    head = job.profile.head
    lean = abs(slant_mm(job.raster, head.drop_frequency_hz, speed_m_s))
    return lean > _tangent(MOST_SLANT_DEG) * (job.raster.drops - 1) * head.row_pitch_mm

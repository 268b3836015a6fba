"""Stroke rate at every line speed against what the raster allows."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import (
    EXAMPLE_PROFILE,
    Example,
    Finding,
    Rule,
    Subject,
)
from rasterc.checks.rules.line.remedies import drops_in_words, rounded_down
from rasterc.head.timing import max_speed_m_s, rasters_that_keep_up, timing


class StrokeRate(Rule):
    """Stroke rate at every line speed against what the raster allows."""

    id = "stroke-rate"
    title = "The line is faster than the raster allows"
    needs_profile = True
    rationale = (
        "A stroke takes a fixed number of drop periods: its drops, its guard drops and the gap "
        "after it. When the product moves one stroke pitch in less time than that, the head "
        "falls behind and the code is stretched."
    )
    source = "kinematics: line speed = stroke pitch x drop frequency / slots of a stroke"
    trips = Example(profile=EXAMPLE_PROFILE.replace("[1.2]", "[1.2, 2.5]"))
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every speed of the profile the head cannot follow."""
        profile, raster = subject.profile, subject.raster
        if profile is None or raster is None:
            return
        for speed in profile.line.speeds_m_s:
            at_speed = timing(profile, raster, 1, speed)
            if at_speed.keeps_up:
                continue
            fastest = max_speed_m_s(at_speed.rate_limit_hz, profile.line.stroke_pitch_mm)
            others = sorted(r.drops for r in rasters_that_keep_up(profile, speed))
            swap = (
                f", or use a raster of {drops_in_words(others)} drops"
                if others
                else "; no raster of this profile is fast enough"
            )
            pitch = at_speed.stroke_pitch_mm
            yield self.finding(
                subject,
                f"at {speed:g} m/s the line asks for {at_speed.stroke_rate_hz:.0f} strokes/s; "
                f"raster {raster.drops} allows {at_speed.rate_limit_hz:.0f}",
                subject.message.raster_span,
                f"slow to {rounded_down(fastest):g} m/s{swap}, or widen the stroke pitch from "
                f"{profile.line.stroke_pitch_mm:g} to {pitch:.3f} mm",
                measured=at_speed.stroke_rate_hz,
                limit=at_speed.rate_limit_hz,
                unit="strokes/s",
            )

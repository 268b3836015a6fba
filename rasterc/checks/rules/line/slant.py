"""Lean of the strokes at every line speed."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, degrees, radians, tan

from rasterc.checks.model import (
    EXAMPLE_PROFILE,
    Example,
    Finding,
    Rule,
    Subject,
)
from rasterc.checks.rules.line.remedies import rounded_down
from rasterc.diagnostics import Severity
from rasterc.head.timing import height_mm, tilt, timing


class Slant(Rule):
    """Lean of the strokes at every line speed."""

    id = "slant"
    title = "Characters lean too far"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "The drops of a stroke are thrown one after another while the product moves, so the "
        "stroke leans. Beyond about 20 degrees characters look like others (I like /)."
    )
    source = "limit of 20 degrees: common practice, no source"
    trips = Example(
        profile=EXAMPLE_PROFILE.replace("[1.2]", "[9]").replace(
            "pitch_mm = 0.35\np", "pitch_mm = 3\np"
        )
    )
    passes = Example()
    limit_degrees = 20.0

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every speed at which the strokes lean beyond the limit."""
        profile, raster = subject.profile, subject.raster
        if profile is None or raster is None:
            return
        rise = height_mm(raster.drops, profile.head.row_pitch_mm, 0)
        for speed in profile.line.speeds_m_s:
            lean = timing(profile, raster, 1, speed).slant_mm
            angle = degrees(atan2(abs(lean), rise))
            if angle > self.limit_degrees:
                slower = speed * self._lean_allowed(rise) / abs(lean)
                yield self.finding(
                    subject,
                    f"at {speed:g} m/s the strokes lean by {angle:.0f} degrees ({lean:+.2f} mm)",
                    subject.message.raster_span,
                    f"slow to {rounded_down(slower):g} m/s, use fewer guard drops"
                    f"{_tilted(lean, rise)}",
                    measured=angle,
                    limit=self.limit_degrees,
                    unit="degrees",
                )

    def _lean_allowed(self, rise_mm: float) -> float:
        return rise_mm * tan(radians(self.limit_degrees))


def _tilted(lean_mm: float, rise_mm: float) -> str:
    """The tilt that makes up for a lean, where there is one."""
    turned = tilt(abs(lean_mm) / rise_mm)
    if turned is None:
        return ""
    angle, lower = turned
    return f", or tilt the head by {angle:.0f} degrees: characters are {lower * 100:.0f} % lower"

"""The profile must say how the message's raster is thrown."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import (
    EXAMPLE_PROFILE,
    Example,
    Finding,
    Rule,
    Subject,
)
from rasterc.checks.rules.line.remedies import drops_in_words


class RasterNotThrown(Rule):
    """The profile must say how the message's raster is thrown."""

    id = "raster-not-thrown"
    title = "The line profile has no raster of this height"
    needs_profile = True
    rationale = (
        "A head throws only the rasters it was set up for. Without the timing of the message's "
        "raster nothing can be said about its speed, its slant or its time."
    )
    source = "common practice, no source"
    trips = Example(profile=EXAMPLE_PROFILE.replace("drops = 7", "drops = 9"))
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding when a profile is given and lacks the raster."""
        if subject.profile is None or subject.raster is not None:
            return
        offered = sorted(r.drops for r in subject.profile.rasters)
        yield self.finding(
            subject,
            f"the message wants a raster of {subject.message.raster} drops, which the profile "
            f'"{subject.profile.name}" does not throw',
            subject.message.raster_span,
            f"use a raster of {drops_in_words(offered)} drops, or add [[raster]] drops = "
            f"{subject.message.raster} to the profile",
        )

"""Height of characters where products pass nearest and furthest."""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from rasterc.checks.flown import (
    MODEL,
    flight_example,
    flown,
    where,
)
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.sweep.inspection import Inspection, Look
from rasterc.sweep.model import Figures


class HeightAtThrow(Rule):
    """Height of characters where products pass nearest and furthest."""

    id = "height-at-throw"
    title = "Characters are too small where products pass near the head"
    needs_profile = True
    samples = True
    flies = True
    rationale = (
        "Drops fan out from the plates, so a product that passes nearer gets smaller characters. "
        "The height is looked at over the whole range the profile states, throw_mm less and more "
        "throw_tolerance_mm, with the charges of throw_mm."
    )
    source = f"the limit is the profile's own, min_character_height_mm; heights: {MODEL}"
    trips = flight_example(
        ("throw_tolerance_mm = 0", "throw_tolerance_mm = 8"), ("height_mm = 1.2", "height_mm = 2.2")
    )
    passes = flight_example(("height_mm = 1.2", "height_mm = 2.2"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each end of the throw at which characters are too small."""
        seen = flown(subject)
        least = subject.profile.product.min_character_height_mm if subject.profile else None

        def small(figures: Figures) -> bool:
            height = figures.height_mm
            return height is not None and least is not None and height + 1e-9 < least

        for look in seen.throws if seen and least is not None else ():
            height = look.figures.height_mm
            if height is None or least is None or not small(look.figures):
                continue
            assert seen is not None
            yield self.finding(
                subject,
                f"{where(look, small)} characters are {height:.2f} mm high; {least:g} mm are asked "
                "for",
                subject.message.raster_span,
                self._remedy(seen, look, height, least),
                measured=height,
                limit=least,
                unit="mm",
            )

    @staticmethod
    def _remedy(seen: Inspection, look: Look, height: float, least: float) -> str:
        """The throw at which the height is just kept, between here and the usual throw."""
        usual = seen.speeds[0].figures.height_mm
        taller = "or use a font of more drops"
        if usual is None or usual <= least:
            return f"raise row_pitch_mm, {taller}"
        part = (usual - least) / (usual - height)
        room = floor(abs(look.case.throw_mm - seen.job.throw_mm) * part * 10) / 10
        return f"guide products to within {room:g} mm of {seen.job.throw_mm:g} mm, {taller}"

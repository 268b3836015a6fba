"""Height of capitals and digits against the profile's minimum."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from rasterc.checks.model import EXAMPLE_PROFILE, Example, Finding, Rule, Subject
from rasterc.checks.rules.legibility.heights import taller
from rasterc.head.timing import rows_high_mm


class CharacterHeight(Rule):
    """Height of capitals and digits against the profile's minimum."""

    id = "character-height"
    title = "Characters are smaller than the product asks for"
    needs_profile = True
    rationale = (
        "The height is that of capitals and digits at the profile's row pitch, the drop included. "
        "A shorter throw or a smaller font makes characters smaller."
    )
    source = "the limit is the profile's own, min_character_height_mm"
    trips = Example(profile=EXAMPLE_PROFILE.replace("height_mm = 1.2", "height_mm = 3"))
    passes = Example()

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line whose capitals are too small."""
        profile = subject.profile
        limit = profile.product.min_character_height_mm if profile else None
        if profile is None or limit is None:
            return
        dot, pitch = profile.product.dot_diameter_mm, profile.head.row_pitch_mm
        for line, font in subject.lines_to_print:
            rows = font.cell_width() if line.tower else font.rows_of("H0")
            height = rows_high_mm(rows, profile)
            if height + 1e-9 < limit:
                needed = ceil((limit - dot) / pitch - 1e-9) + 1
                yield self.finding(
                    subject,
                    f"characters of {font.name} are {height:.2f} mm high; "
                    f"{limit:g} mm are asked for",
                    line.font_span,
                    f"use a font of at least {needed} drops, or {taller(rows, limit, profile)}",
                    measured=height,
                    limit=limit,
                    unit="mm",
                )

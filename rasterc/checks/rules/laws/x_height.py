"""Height of the date's small letters, or of its capitals and digits."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import FOOD_PROFILE, GOOD_FOOD
from rasterc.checks.model import NO_ADVICE, Example, Finding, Rule, Subject
from rasterc.checks.printed.durability import (
    durable_marks,
)
from rasterc.checks.rules.laws.sources import REGULATION
from rasterc.checks.rules.legibility.heights import taller
from rasterc.fonts.model import Font
from rasterc.head.timing import rows_high_mm
from rasterc.profile.model import RuleSet
from rasterc.source.message import Line

_SMALL_SURFACE_CM2 = 80.0


class XHeight(Rule):
    """Height of the date's small letters, or of its capitals and digits."""

    id = "x-height"
    title = "The date is smaller than the law allows"
    rule_set = RuleSet.EU_FOOD
    needs_profile = True
    samples = True
    rationale = (
        "The date is mandatory, and mandatory text has an x-height of at least 1.2 mm, or 0.9 mm "
        "on a package whose largest surface is under 80 cm2 (largest_surface_cm2). The height "
        "is measured over the drops, the drop itself included. How text without small letters is "
        f"measured is not said: of a code of capitals and digits theirs is taken. {NO_ADVICE}"
    )
    source = (
        f"{REGULATION}, Article 13(2) and (3), consolidated text; that Annex IV measures the x: "
        "from memory"
    )
    trips = Example(
        GOOD_FOOD.message,
        FOOD_PROFILE.replace("row_pitch_mm = 0.35", "row_pitch_mm = 0.12")
        .replace("throw_mm = 15", "throw_mm = 6")
        .replace("min_character_height_mm = 1.2\n", ""),
    )
    passes = GOOD_FOOD
    limit_mm, small_limit_mm = 1.2, 0.9

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line with a date whose letters are too small."""
        profile = subject.profile
        if profile is None:
            return
        surface = profile.product.largest_surface_cm2
        small = surface is not None and surface < _SMALL_SURFACE_CM2
        limit = self.small_limit_mm if small else self.limit_mm
        dated = {mark.line.span for mark, _ in durable_marks(subject)}
        for line, font, text in subject.printed_lines:
            rows = _measured_rows(line, font, text)
            height = rows_high_mm(rows, profile)
            if line.span in dated and height + 1e-9 < limit:
                what = "small letters" if _has_small(line, font, text) else "capitals and digits"
                yield self.finding(
                    subject,
                    f"{what} of {font.name} are {height:.2f} mm high on this line; the date needs "
                    f"{limit:g} mm",
                    line.font_span,
                    f"use a font with more rows, or {taller(rows, limit, profile)}",
                    measured=height,
                    limit=limit,
                    unit="mm",
                )


def _measured_rows(line: Line, font: Font, text: str) -> int:
    if line.tower:
        return font.cell_width()
    return font.rows_of("x" if _has_small(line, font, text) else "H0")


def _has_small(line: Line, font: Font, text: str) -> bool:
    return not line.tower and bool(font.rows_of("x")) and any(c.islower() for c in text)

"""The angle under which a character is seen."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.rules.legibility.heights import taller
from rasterc.head.timing import rows_high_mm

LIMIT_RAD, MOST_READ_RAD, AIM_RAD = 0.0019, 0.003, 0.00465


SOURCE = (
    "S. L. Smith, Human Factors 21 (1979) 661-670, abstract: of about 2,000 measures on 300 "
    "printed displays the limit of legibility is 0.0019 rad on the mean, over 90 % are legible at "
    "0.003 rad, all at 0.007 rad; 16 minutes of arc (0.00465 rad) to aim at: common practice"
)


MARK = 'block { line: "AISLE 12" }'


def seen_small(
    rule: Rule, subject: Subject, least_rad: float, limit_rad: float
) -> Iterator[Finding]:
    """Findings for lines whose characters are seen under less than the limit but not the least."""
    profile = subject.profile
    distance = profile.product.reading_distance_mm if profile else None
    if profile is None or distance is None:
        return
    for line, font in subject.lines_to_print:
        rows = font.cell_width() if line.tower else font.rows_of("H0")
        height = rows_high_mm(rows, profile)
        if rows and least_rad * distance <= height + 1e-9 < limit_rad * distance:
            aim = AIM_RAD * distance
            yield rule.finding(
                subject,
                f"characters of {font.name} are {height:.2f} mm high; from {distance:g} mm "
                f"{limit_rad * distance:.2f} mm are needed",
                line.font_span,
                f"aim at {aim:.1f} mm: use a font with more rows, or {taller(rows, aim, profile)}",
                measured=height,
                limit=limit_rad * distance,
                unit="mm",
            )

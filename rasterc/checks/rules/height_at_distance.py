"""Are the characters high enough for the distance they are read from?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.rules.size import characters_mm, taller
from rasterc.diagnostics import Severity

_LIMIT_RAD, _MOST_READ_RAD, _AIM_RAD = 0.0019, 0.003, 0.00465
_SOURCE = (
    "S. L. Smith, Human Factors 21 (1979) 661-670, abstract: of about 2,000 measures on 300 "
    "printed displays the limit of legibility is 0.0019 rad on the mean, over 90 % are legible at "
    "0.003 rad, all at 0.007 rad; 16 minutes of arc (0.00465 rad) to aim at: common practice"
)
_MARK = 'block { line: "AISLE 12" }'


class HeightIllegible(Rule):
    """Height of capitals and digits below what the eye makes out at the reading distance."""

    id = "height-illegible"
    title = "Characters are too small to be read from the distance the profile states"
    needs_profile = True
    rationale = (
        "What is seen under less than 0.0019 rad (6.5 minutes of arc) is not made out by half of "
        "the people. The height is that of capitals and digits, the drop included, held against "
        "the profile's reading_distance_mm."
    )
    source = _SOURCE
    trips = example(_MARK, profile="reading_distance_mm = 2000")
    passes = example(_MARK, profile="reading_distance_mm = 400")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line of lower characters."""
        yield from _lower(self, subject, 0.0, _LIMIT_RAD)


class HeightAtDistance(Rule):
    """Height of capitals and digits below what most people make out at the reading distance."""

    id = "height-at-distance"
    title = "Characters are hard to read from the distance the profile states"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "Under 0.003 rad (10 minutes of arc) one reader in ten and more fails, in good light and "
        "with good ink. The height is that of capitals and digits, the drop included, held against "
        "the profile's reading_distance_mm."
    )
    source = _SOURCE
    trips = example(_MARK, profile="reading_distance_mm = 1000")
    passes = example(_MARK, profile="reading_distance_mm = 400")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line of lower characters that are not `height-illegible`."""
        yield from _lower(self, subject, _LIMIT_RAD, _MOST_READ_RAD)


def _lower(rule: Rule, subject: Subject, least_rad: float, limit_rad: float) -> Iterator[Finding]:
    """Findings for lines whose characters are seen under less than the limit but not the least."""
    profile = subject.profile
    distance = profile.product.reading_distance_mm if profile else None
    if profile is None or distance is None:
        return
    for line, font in subject.lines_to_print:
        rows = font.cell_width() if line.tower else font.rows_of("H0")
        height = characters_mm(rows, profile)
        if rows and least_rad * distance <= height + 1e-9 < limit_rad * distance:
            aim = _AIM_RAD * distance
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

"""Height of capitals and digits below what most people make out at the reading distance."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.rules.legibility.angles import (
    LIMIT_RAD,
    MARK,
    MOST_READ_RAD,
    SOURCE,
    seen_small,
)
from rasterc.diagnostics import Severity


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
    source = SOURCE
    trips = example(MARK, profile="reading_distance_mm = 1000")
    passes = example(MARK, profile="reading_distance_mm = 400")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line of lower characters that are not `height-illegible`."""
        yield from seen_small(self, subject, LIMIT_RAD, MOST_READ_RAD)

"""Height of capitals and digits below what the eye makes out at the reading distance."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.rules.legibility.angles import LIMIT_RAD, MARK, SOURCE, seen_small


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
    source = SOURCE
    trips = example(MARK, profile="reading_distance_mm = 2000")
    passes = example(MARK, profile="reading_distance_mm = 400")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every line of lower characters."""
        yield from seen_small(self, subject, 0.0, LIMIT_RAD)

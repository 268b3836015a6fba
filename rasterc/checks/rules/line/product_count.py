"""The profile's products per day against what its speed and product pitch allow."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import (
    Example,
    Finding,
    Rule,
    Subject,
    example_profile,
)
from rasterc.checks.pace import MINUTES_PER_DAY, products_per_minute
from rasterc.diagnostics import Severity


class ProductCount(Rule):
    """The profile's products per day against what its speed and product pitch allow."""

    id = "product-count"
    title = "The profile counts more products than its line can carry"
    severity = Severity.WARNING
    needs_profile = True
    rationale = (
        "Whether a counter lasts is worked out from the profile's products per day. A number that "
        "the line cannot reach shows that the speed, the product pitch or the number is wrong."
    )
    source = "kinematics: products per minute <= fastest speed / product pitch"
    trips = Example(profile=example_profile(product="products_per_day = 2_000_000"))
    passes = Example(profile=example_profile(product="products_per_day = 20_000"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding when the numbers contradict each other."""
        profile = subject.profile
        rate = products_per_minute(profile) if profile else None
        stated = profile.product.products_per_day if profile else None
        if profile is None or rate is None or stated is None or stated <= rate * MINUTES_PER_DAY:
            return
        yield self.finding(
            subject,
            f'"{profile.name}" says {stated} products a day; at {max(profile.line.speeds_m_s):g} '
            f"m/s, {profile.line.product_pitch_mm:g} mm apart, {rate * MINUTES_PER_DAY:.0f} pass",
            subject.message.span,
            f"state at most {rate * MINUTES_PER_DAY:.0f}, or correct speed and product pitch",
            measured=stated,
            limit=rate * MINUTES_PER_DAY,
            unit="products/day",
        )

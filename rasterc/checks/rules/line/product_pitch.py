"""Message time against the time between products."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from rasterc.checks.model import (
    EXAMPLE_PROFILE,
    Example,
    Finding,
    Rule,
    Subject,
)
from rasterc.checks.pace import timings


class ProductPitch(Rule):
    """Message time against the time between products."""

    id = "product-pitch"
    title = "The code is not finished when the next product comes"
    needs_profile = True
    rationale = (
        "The head prints one code at a time. A code that lasts longer than the time from one "
        "product to the next makes the head miss products."
    )
    source = "kinematics: message time <= product pitch / line speed"
    trips = Example(profile=EXAMPLE_PROFILE.replace("pitch_mm = 90", "pitch_mm = 15"))
    passes = Example()

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return ("longest",)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every speed at which products come too soon."""
        for at_speed in timings(subject):
            if at_speed.product_ms is None or at_speed.message_ms <= at_speed.product_ms:
                continue
            assert subject.layout is not None
            travel = subject.layout.length * at_speed.stroke_pitch_mm
            yield self.finding(
                subject,
                f"at {at_speed.speed_m_s:g} m/s the code takes {at_speed.message_ms:.1f} ms; "
                f"the next product comes after {at_speed.product_ms:.1f} ms",
                subject.message.span,
                f"space the products {ceil(travel)} mm apart, or shorten the code",
                measured=at_speed.message_ms,
                limit=at_speed.product_ms,
                unit="ms",
            )

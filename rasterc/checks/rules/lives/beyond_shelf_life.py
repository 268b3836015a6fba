"""The date printed against the shelf life of the profile."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import LIVES, Example, Finding, Rule, Subject, example_profile
from rasterc.checks.printed.dates import Mark
from rasterc.checks.printed.durability import (
    durable_marks,
    last_day_read,
)
from rasterc.checks.rules.lives.examples import BEST


class BeyondShelfLife(Rule):
    """The date printed against the shelf life of the profile."""

    id = "beyond-shelf-life"
    title = "The date promises more days than the product keeps"
    needs_profile = True
    rationale = (
        "The date must not lie after the day of production plus the shelf life. `to month end` "
        "adds up to thirty days, and a date without its day is read as the last day of the month. "
        "Checked when the profile states shelf_life_days."
    )
    source = "the profile's own shelf_life_days"
    trips = Example(
        BEST.format(life="90 days to month end", text="31 MAY 2027"),
        example_profile(product="shelf_life_days = 90"),
    )
    passes = Example(
        BEST.format(life="90 days", text="01 MAY 2027"),
        example_profile(product="shelf_life_days = 90"),
    )

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (LIVES,)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date that is too late."""
        days = subject.profile.product.shelf_life_days if subject.profile else None
        for mark, life in durable_marks(subject):
            read = last_day_read(mark, life.stated)
            over = (read - life.made).days - days if days else 0
            if days and over > 0:
                yield self.finding(
                    subject,
                    f"{mark.text} lasts to {read}, {days + over} days after production on "
                    f"{life.made}; the product keeps {days}",
                    mark.span,
                    _earlier(mark, over, days),
                    measured=days + over,
                    limit=days,
                    unit="days",
                )


def _earlier(mark: Mark, over: int, days: int) -> str:
    if mark.has("dDw"):
        return f"count {over} days less: `+ {days} days`, without `to month end`"
    return f"print the day and count `+ {days} days`, or end with the month before"

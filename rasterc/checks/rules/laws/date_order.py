"""Order of day, month and year, and codes in their place."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import GOOD_FOOD, food_example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import is_gs1
from rasterc.checks.printed.durability import (
    durable_marks,
)
from rasterc.checks.rules.laws.sources import REGULATION
from rasterc.profile.model import RuleSet


class DateOrder(Rule):
    """Order of day, month and year, and codes in their place."""

    id = "date-order"
    title = "The date is not day, month, year in plain figures or names"
    rule_set = RuleSet.EU_FOOD
    rationale = (
        "The date is printed uncoded, in the order day, month, year. A day of the year, a week or "
        f"a letter for the month is a code. {NO_ADVICE}"
    )
    source = f"{REGULATION}, Annex X, point 1(c); point 2 as stated by a secondary text"
    trips = food_example("60 days", "BEST BEFORE", "yyyy-MM-dd", "2028-01-24")
    passes = GOOD_FOOD

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date in another order or with a coded part."""
        for mark in (mark for mark, _ in durable_marks(subject) if not is_gs1(mark)):
            order = "".join(c for c in mark.letters.replace("L", "M") if c in "dMyY")
            coded = mark.has("Dw") or any(part.coded for part in mark.parts)
            wrong = order.replace("Y", "y") not in ("dMy", "dM", "My", "y", "d", "M")
            if coded or wrong:
                said = "is coded" if coded else "is not in the order day, month, year"
                yield self.finding(
                    subject,
                    f'the date "{mark.text}" {said}',
                    mark.span,
                    f"print {mark.clock}(dd MMM yyyy) or {mark.clock}(dd/MM/yyyy)",
                )

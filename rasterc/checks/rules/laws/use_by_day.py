"""A use-by date against its parts."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import food_example
from rasterc.checks.model import NO_ADVICE, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, marks
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.rules.laws.sources import REGULATION
from rasterc.profile.model import RuleSet


class UseByDay(Rule):
    """A use-by date against its parts."""

    id = "use-by-day"
    title = "A use-by date without its day"
    rule_set = RuleSet.EU_FOOD
    reads_words = True
    rationale = (
        "After its use-by date food is deemed unsafe. The date always has the day and the month, "
        f"and the year where it may be needed. {NO_ADVICE}"
    )
    source = f"{REGULATION}, Article 24 and Annex X, point 2, as stated by a secondary text"
    trips = food_example("10 days", "USE BY", "MMM yyyy, upper", "DEC 2027")
    passes = food_example("10 days", "USE BY", "dd MMM yyyy, upper", "05 DEC 2027")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date behind the words `use by` that lacks day or month."""
        for mark in marks(subject):
            shows_day = mark.has("yYMLdDwQqEec")
            whole = mark.has("d") and mark.has(MONTHS)
            if Kind.USE_BY in mark.kinds and shows_day and not whole:
                yield self.finding(
                    subject,
                    f'the use-by date "{mark.text}" lacks the day or the month',
                    mark.span,
                    f"print day, month and year: {mark.clock}(dd MMM yyyy)",
                )

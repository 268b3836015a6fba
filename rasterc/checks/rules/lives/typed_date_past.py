"""Can what follows from a typed date have passed when it is printed?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, marks
from rasterc.checks.printed.durability import is_date, last_day_read, says_how_long
from rasterc.checks.printed.typed_days import day_from, keeps_from, typed_day
from rasterc.diagnostics import Severity

_MEAT = 'clock packed in "UTC"\ninput cut date "dd.MM.yy", within 3 {} before packed\n'
_MEAT += "clock ends = cut + 9 days\n"
_MEAT += 'block {{ line: "USE BY " ends(dd MMM yyyy, upper) " L" packed(yyDDD) }}'
_TYPED = {"cut": "25.11.27"}


class TypedDatePast(Rule):
    """Limits that allow a date of durability before the day of printing."""

    id = "typed-date-past"
    title = "The limits of a typed date let a product be printed with a date that has passed"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "`within 3 years before packed` for `within 3 days` allows a day from which the life has "
        "long ended when the product is packed. The first day that the limits allow is taken, and "
        "the date of durability that follows from it, or is it, is held against the day of "
        "printing."
    )
    source = "common practice, no source"
    trips = example(_MEAT.format("years"), inputs=_TYPED)
    passes = example(_MEAT.format("days"), inputs=_TYPED)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every date that may have passed so."""
        for mark in filter(is_date, marks(subject)):
            typed = typed_day(subject, mark.clock)
            if typed is None or not (typed.limits and typed.printed) or not _keeps(subject, mark):
                continue  # without any limit: `typed-date-open`
            read = last_day_read(mark, day_from(subject, mark.clock, typed.first))
            over = (min(typed.printed) - read).days
            if over > 0:
                name = typed.declared.name
                yield self.finding(
                    subject,
                    f"with {typed.first} for {name}, which may be typed, {mark.clock} is {read}: "
                    f"{'1 day' if over == 1 else f'{over} days'} before the day of printing",
                    mark.span,
                    f"narrow the limits of input {name}, days for years say, or add `not before`",
                    measured=-over,
                    limit=0,
                    unit="days",
                )


def _keeps(subject: Subject, mark: Mark) -> bool:
    return says_how_long(mark) or keeps_from(subject, mark)

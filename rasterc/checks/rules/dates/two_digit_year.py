"""A year in two digits beside a day or a month, where each may be taken for the other."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, is_gs1, marks
from rasterc.checks.rules.dates.numeric import (
    CLEAR,
    DATE,
    is_code,
    is_settled,
    numeric_dates,
    order_is_law,
)
from rasterc.diagnostics import Severity


class TwoDigitYear(Rule):
    """A year in two digits beside a day or a month, where each may be taken for the other."""

    id = "two-digit-year"
    title = "A date says how long the product keeps with two digits of the year"
    severity = Severity.NOTE
    rationale = (
        "25 MAY 29 is the 25th of May 2029, or the 29th of May 2025; 11/12 is November 2012 or the "
        "11th of December. Four digits cost two characters. Where the order is laid down by law "
        "(eu-food) this rule is quiet."
    )
    source = "common practice, no source"
    trips = Example(DATE.format(pattern="dd MMM yy, upper", text="04 MAR 28"))
    passes = CLEAR

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note for every such date that is not reported for its numbers already."""
        reported = {mark.span for mark in numeric_dates(subject) if not is_settled(mark)}
        for mark in marks(subject):
            year = mark.part("yY")
            if year is None or year.count != 2 or order_is_law(subject):
                continue
            beside = mark.has("d") or (mark.has(MONTHS) and len(mark.parts) == 2)
            if not beside or mark.span in reported or is_code(subject, mark) or is_gs1(mark):
                continue
            long = mark.pattern.replace(year.letter * 2, year.letter * 4)
            yield self.finding(
                subject,
                f'the year of "{mark.text}" can be taken for a day or a month',
                mark.span,
                f"write the year in four digits: {long}",
            )

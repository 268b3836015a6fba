"""Day, month and year in numbers, day before month, or the year first in two digits."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, Mark
from rasterc.checks.printed.tokens import Token
from rasterc.checks.rules.dates.numeric import (
    CLEAR,
    DATE,
    example_of,
    is_settled,
    numeric_dates,
    order_is_law,
    stands_before,
)
from rasterc.diagnostics import Severity


class AmbiguousDate(Rule):
    """Day, month and year in numbers, day before month, or the year first in two digits."""

    id = "ambiguous-date"
    title = "A date can be read in two ways"
    severity = Severity.WARNING
    rationale = (
        "03/04/27 is the 3rd of April to one reader and the 4th of March to another; 27-04-03 may "
        "be either, or 1927. A month's name, or the year in four digits before month and day, "
        "is read in one way; so are day and month parted by dots, or by hyphens before four digits "
        "of the year, and every order under words of a language that has the day first. Under "
        "eu-food the order day, month, year is laid down by law, and this rule leaves it alone."
    )
    source = (
        "ISO 8601 (year, month, day, the year in four digits); Unicode CLDR 49: 56 locales write "
        "the month first with slashes, none with dots or hyphens"
    )
    trips = Example(DATE.format(pattern="dd/MM/yy", text="04/03/28"))
    passes = CLEAR

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark in numeric_dates(subject):
            day, month, year = mark.part("d"), mark.part(MONTHS), mark.part("yY")
            assert day and month
            if stands_before(mark, month, day) and not _short_year_first(mark, year):
                continue  # month-before-day, or the year in four digits first
            if stands_before(mark, day, month) and (order_is_law(subject) or is_settled(mark)):
                continue
            shown = example_of(mark)
            ways = "the 3rd of April or the 4th of March"
            other = "or the year first, yyyy-MM-dd"
            if _short_year_first(mark, year):
                ways = "the 27th of April 2003 or the 3rd of April 2027"
                other = "or the year in four digits, yyyy-MM-dd"
            yield self.finding(
                subject,
                f'"{mark.pattern}" can be read in two ways: {shown} is {ways}',
                mark.span,
                f"write the month as a name, dd MMM yyyy, {other}",
            )


def _short_year_first(mark: Mark, year: Token | None) -> bool:
    return year is not None and mark.parts.index(year) == 0 and len(year.text) < 4

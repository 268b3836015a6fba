"""Can a printed date be read in one way only?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, Mark, is_gs1, marks
from rasterc.checks.printed.durability import life_of
from rasterc.checks.printed.tokens import Token
from rasterc.diagnostics import Severity
from rasterc.profile.model import RuleSet

_DATE = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 100 days
  block {{ line: "BEST BEFORE " best({pattern}) }}
  expect at 2027-11-25 14:05 {{ "BEST BEFORE {text}" }}
}}
"""
_CLEAR = Example(_DATE.format(pattern="dd MMM yyyy, upper", text="04 MAR 2028"))
_BOTH_WAYS = {"", "en"}
"""Languages whose locales disagree on the order of day and month, and words of none."""


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
    trips = Example(_DATE.format(pattern="dd/MM/yy", text="04/03/28"))
    passes = _CLEAR

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark in _numeric_dates(subject):
            day, month, year = mark.part("d"), mark.part(MONTHS), mark.part("yY")
            assert day and month
            if _before(mark, month, day) and not _short_year_first(mark, year):
                continue  # month-before-day, or the year in four digits first
            if _before(mark, day, month) and (order_is_law(subject) or _is_settled(mark)):
                continue
            shown = _example(mark)
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


class MonthBeforeDay(Rule):
    """The number of the month before that of the day, without the year in four digits first."""

    id = "month-before-day"
    title = "A date in numbers has the month before the day"
    severity = Severity.WARNING
    rationale = (
        "Most of the world reads the first number of a date as the day, so that 03/04 for the 4th "
        "of March is taken for the 3rd of April: a month's difference on a use-by date."
    )
    source = "common practice, no source"
    trips = Example(_DATE.format(pattern="MM/dd/yyyy", text="03/04/2028"))
    passes = Example(_DATE.format(pattern="yyyy-MM-dd", text="2028-03-04"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such date."""
        for mark in _numeric_dates(subject):
            day, month, year = mark.part("d"), mark.part(MONTHS), mark.part("yY")
            assert day and month
            if _before(mark, month, day) and not (year and mark.parts.index(year) == 0):
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" has the month before the day: {_example(mark)} is meant as '
                    "the 3rd of April and read as the 4th of March",
                    mark.span,
                    "write the month as a name, dd MMM yyyy, or the year first, yyyy-MM-dd",
                )


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
    trips = Example(_DATE.format(pattern="dd MMM yy, upper", text="04 MAR 28"))
    passes = _CLEAR

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note for every such date that is not reported for its numbers already."""
        reported = {mark.span for mark in _numeric_dates(subject) if not _is_settled(mark)}
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


def order_is_law(subject: Subject) -> bool:
    """Whether the order day, month, year is laid down: Annex X of Regulation (EU) 1169/2011."""
    return subject.profile is not None and RuleSet.EU_FOOD in subject.profile.rules


def is_code(subject: Subject, mark: Mark) -> bool:
    """A production date without signs in it, part of a code and not meant to be read as a date."""
    signs = any(token.text for token in mark.tokens if not token.letter)
    return not signs and life_of(subject, mark.clock) is None


def _numeric_dates(subject: Subject) -> Iterator[Mark]:
    """Marks that print day and month in numbers, for people to read."""
    for mark in marks(subject):
        day, month = mark.part("d"), mark.part(MONTHS)
        numbers = day and month and day.is_number and month.is_number
        if numbers and not is_code(subject, mark) and not is_gs1(mark):
            yield mark


def _is_settled(mark: Mark) -> bool:
    """Whether the signs, or the language of the words before it, leave one order only."""
    signs = "".join(token.text for token in mark.tokens if not token.letter)
    year = mark.part("yY")
    whole = year is not None and len(year.text) == 4
    if "." in signs or ("-" in signs and whole):
        return True
    spoken = {lead.language for lead in mark.leads}
    return bool(spoken) and spoken.isdisjoint(_BOTH_WAYS)


def _before(mark: Mark, one: Token, other: Token) -> bool:
    return mark.parts.index(one) < mark.parts.index(other)


def _short_year_first(mark: Mark, year: Token | None) -> bool:
    return year is not None and mark.parts.index(year) == 0 and len(year.text) < 4


def _example(mark: Mark) -> str:
    """The mark as it would print the 3rd of April 2027."""
    numbers = {"d": 3, "M": 4, "L": 4, "y": 2027, "Y": 2027}
    return "".join(
        _digits(numbers[token.letter], token.count) if token.letter in numbers else token.text
        for token in mark.tokens
    )


def _digits(number: int, letters: int) -> str:
    """A number as so many letters of UTS #35 print it: two of a year are its last two digits."""
    padded = f"{number:0{letters}}"
    return padded[-2:] if letters == 2 else padded

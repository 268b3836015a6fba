"""Dates of figures alone: which there are, in what order, and whether that is settled."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Subject
from rasterc.checks.printed.dates import MONTHS, Mark, is_gs1, marks
from rasterc.checks.printed.durability import life_of
from rasterc.checks.printed.tokens import Token
from rasterc.profile.model import RuleSet

DATE = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 100 days
  block {{ line: "BEST BEFORE " best({pattern}) }}
  expect at 2027-11-25 14:05 {{ "BEST BEFORE {text}" }}
}}
"""


CLEAR = Example(DATE.format(pattern="dd MMM yyyy, upper", text="04 MAR 2028"))


BOTH_WAYS = {"", "en"}
"""Languages whose locales disagree on the order of day and month, and words of none."""


def order_is_law(subject: Subject) -> bool:
    """Whether the order day, month, year is laid down: Annex X of Regulation (EU) 1169/2011."""
    return subject.profile is not None and RuleSet.EU_FOOD in subject.profile.rules


def is_code(subject: Subject, mark: Mark) -> bool:
    """A production date without signs in it, part of a code and not meant to be read as a date."""
    signs = any(token.text for token in mark.tokens if not token.letter)
    return not signs and life_of(subject, mark.clock) is None


def numeric_dates(subject: Subject) -> Iterator[Mark]:
    """Marks that print day and month in numbers, for people to read."""
    for mark in marks(subject):
        day, month = mark.part("d"), mark.part(MONTHS)
        numbers = day and month and day.is_number and month.is_number
        if numbers and not is_code(subject, mark) and not is_gs1(mark):
            yield mark


def is_settled(mark: Mark) -> bool:
    """Whether the signs, or the language of the words before it, leave one order only."""
    signs = "".join(token.text for token in mark.tokens if not token.letter)
    year = mark.part("yY")
    whole = year is not None and len(year.text) == 4
    if "." in signs or ("-" in signs and whole):
        return True
    spoken = {lead.language for lead in mark.leads}
    return bool(spoken) and spoken.isdisjoint(BOTH_WAYS)


def stands_before(mark: Mark, one: Token, other: Token) -> bool:
    """Whether one part of a mark comes before another."""
    return mark.parts.index(one) < mark.parts.index(other)


def example_of(mark: Mark) -> str:
    """The mark as it would print the 3rd of April 2027."""
    numbers = {"d": 3, "M": 4, "L": 4, "y": 2027, "Y": 2027}
    return "".join(
        digits(numbers[token.letter], token.count) if token.letter in numbers else token.text
        for token in mark.tokens
    )


def digits(number: int, letters: int) -> str:
    """A number as so many letters of UTS #35 print it: two of a year are its last two digits."""
    padded = f"{number:0{letters}}"
    return padded[-2:] if letters == 2 else padded

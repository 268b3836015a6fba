"""Date letters beside one another, and those that are mistaken for others."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from rasterc.checks.model import Example, Subject
from rasterc.checks.printed.dates import HOURS, MONTHS, Mark
from rasterc.checks.printed.tokens import Token

DATE = """
message example {{
  raster 7
  font upright-7
  clock packed in "UTC"
  block {{ line: "PACKED " packed({pattern}) }}
  expect at {at} {{ "PACKED {text}" }}
}}
"""


UTS_35 = "UTS #35, part 4 (Dates), date field symbols"


def dated(pattern: str, text: str, at: str = "2026-12-31 14:05") -> Example:
    """A message that prints one date by a pattern."""
    return Example(DATE.format(pattern=pattern, text=text, at=at), at=at)


def neighbours(mark: Mark) -> Iterator[tuple[str, Token, str]]:
    """Each part with the letters before and after it, "" at the ends."""
    letters = ["", *mark.letters, ""]
    for index, part in enumerate(mark.parts):
        yield letters[index], part, letters[index + 2]


def is_in_time(before: str, part: Token, after: str) -> bool:
    """Whether a part is a month in numbers that follows an hour, where minutes are meant."""
    in_time = before in HOURS and after not in tuple("dyY")
    return part.letter in MONTHS and part.is_number and in_time


def swap_letter(mark: Mark, part: Token, letter: str) -> str:
    """The mark's pattern with another letter for one part."""
    return "".join(
        letter * token.count if token is part else token.letter * token.count or token.text
        for token in mark.tokens
    )


def differs(subject: Subject) -> str:
    """The next day on which the year of the week is not the calendar year, in words."""
    when = subject.when
    day = when.date() if when else date(2027, 1, 1)
    while day.isocalendar().year == day.year:
        day += timedelta(days=1)
    return f"on {day} the year of the week is {day.isocalendar().year}"

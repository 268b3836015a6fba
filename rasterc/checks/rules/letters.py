"""Do the letters of a date pattern stand for what was meant?"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import HOURS, MONTHS, Mark, marks
from rasterc.checks.printed.tokens import Token
from rasterc.diagnostics import Severity

_DATE = """
message example {{
  raster 7
  font upright-7
  clock packed in "UTC"
  block {{ line: "PACKED " packed({pattern}) }}
  expect at {at} {{ "PACKED {text}" }}
}}
"""
_UTS_35 = "UTS #35, part 4 (Dates), date field symbols"


def _date(pattern: str, text: str, at: str = "2026-12-31 14:05") -> Example:
    return Example(_DATE.format(pattern=pattern, text=text, at=at), at=at)


class WeekYear(Rule):
    """Y, the year of the week, without the week."""

    id = "week-year"
    title = "YYYY is the year of the week, not the calendar year"
    rationale = (
        "Y is the year to which the ISO week belongs. It differs from the calendar year on up to "
        "three days at either end of a year: a year's mistake on a date, once a year, on a "
        "holiday. Beside month and day, or alone, the year is y."
    )
    source = f"{_UTS_35}: y and Y; ISO 8601 for the weeks"
    trips = _date("dd MMM YYYY, upper", "31 DEC 2026")
    passes = _date("dd MMM yyyy, upper", "31 DEC 2026")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such year."""
        for mark in marks(subject):
            year = mark.part("Y")
            if year and (mark.has("MLdDQq") or not mark.has("w")):
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" prints the year of the week: {_differs(subject)}',
                    mark.span,
                    f"write {mark.rewritten({'Y': 'y'})}",
                )


class WeekWithCalendarYear(Rule):
    """w, the week, beside y, the calendar year."""

    id = "week-with-calendar-year"
    title = "A week is printed with the calendar year"
    rationale = (
        "The first days of January may lie in week 53 of the year before, and the last days of "
        "December in week 1 of the next. With the calendar year a code of early January then "
        "names a week that is a year away."
    )
    source = f"{_UTS_35}: w and Y; ISO 8601 week dates"
    trips = _date("yyyy'W'ww", "2026W53")
    passes = _date("YYYY'W'ww", "2026W53")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such week."""
        for mark in marks(subject):
            if mark.has("w") and mark.has("y") and not mark.has("Y") and not mark.has("MLdD"):
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" prints a week with the calendar year: {_differs(subject)}',
                    mark.span,
                    f"write {mark.rewritten({'y': 'Y'})}",
                )


class DayOfYearLetter(Rule):
    """D where d is meant, or D in fewer than three digits."""

    id = "day-of-year-letter"
    title = "D is the day of the year, in three digits; the day of the month is d"
    rationale = (
        "D counts from 1 to 366. Beside a month the day of the month is meant. As D or DD it "
        "prints one to three digits, so that what stands beside it cannot be told from it."
    )
    source = f"{_UTS_35}: D and d"
    trips = _date("DD/MMM/yyyy, upper", "365/DEC/2026")
    passes = _date("dd/MMM/yyyy, upper", "31/DEC/2026")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such D."""
        for mark in marks(subject):
            day = mark.part("D")
            if day is None or day.coded:
                continue
            if mark.has(MONTHS) and not mark.has("d"):
                said = f'"{mark.pattern}" prints the day of the year, 1 to 366, beside the month'
                help = f"write {mark.pattern.replace('D' * day.count, 'dd')}"
            elif day.count < 3 or not day.whole:
                said = f'"{mark.pattern}" prints the day of the year in one to three digits'
                said = said if day.whole else f'"{mark.pattern}" cuts the day of the year short'
                help = "write DDD, all three digits, with the year: yyDDD"
            else:
                continue
            yield self.finding(subject, said, mark.span, help)


class DayOfYearWithoutYear(Rule):
    """The day of the year of a clock whose year is printed nowhere."""

    id = "day-of-year-without-year"
    title = "The day of the year is printed without the year"
    severity = Severity.WARNING
    rationale = (
        "A day of the year comes again every year. When goods come back, or a lot is recalled, "
        "nobody can tell which year's day it was."
    )
    source = "ISO 8601: ordinal dates have a year; common practice"
    trips = _date("DDD", "365")
    passes = _date("yyDDD", "26365")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such day."""
        printed = marks(subject)
        with_year = {mark.clock for mark in printed if mark.has("yY")}
        for mark in printed:
            if mark.has("D") and mark.clock not in with_year:
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" is day {mark.text} of any year',
                    mark.span,
                    f"print the year before it: yyDDD, or {mark.clock}(y, last 1) if the product "
                    "keeps less than ten years",
                )


class MinutesForMonth(Rule):
    """mm, the minutes, in the middle of a date."""

    id = "minutes-for-month"
    title = "mm are minutes; the month is MM"
    rationale = (
        "In a date pattern capital and small letters differ: mm prints the minutes. dd/mm/yyyy "
        "looks right for the first twelve minutes of an hour and prints a month 37 later."
    )
    source = f"{_UTS_35}: m and M"
    trips = _date("dd.mm.yyyy", "31.05.2026")
    passes = _date("yyyy-MM-dd", "2026-12-31")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for minutes beside a day or a year that follow no hour."""
        for mark in marks(subject):
            for before, part, after in _neighbours(mark):
                beside = any(other in "dyYML" for other in (before, after) if other)
                if part.letter == "m" and part.is_number and before not in HOURS and beside:
                    swapped = _swapped(mark, part, "M")
                    yield self.finding(
                        subject,
                        f'"{mark.pattern}" prints the minutes ({part.text}) in a date',
                        part.span,
                        f"write {swapped}",
                    )


class MonthForMinutes(Rule):
    """MM, the month, in a time of day."""

    id = "month-for-minutes"
    title = "MM is the month; minutes are mm"
    rationale = (
        "HH:MM prints the month after the hour: every code of a month carries the same "
        "minutes, and none of them was packed then."
    )
    source = f"{_UTS_35}: m and M"
    trips = _date("dd MMM yyyy HH:MM, upper", "31 DEC 2026 14:12")
    passes = _date("dd MMM yyyy HH:mm, upper", "31 DEC 2026 14:05")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for a month in numbers that follows an hour and no date follows."""
        for mark in marks(subject):
            for before, part, after in _neighbours(mark):
                in_time = before in HOURS and after not in tuple("dyY")
                if part.letter in MONTHS and part.is_number and in_time:
                    swapped = _swapped(mark, part, "m")
                    yield self.finding(
                        subject,
                        f'"{mark.pattern}" prints the month ({part.text}) in a time of day',
                        part.span,
                        f"write {swapped}",
                    )


def _neighbours(mark: Mark) -> Iterator[tuple[str, Token, str]]:
    """Each part with the letters before and after it, "" at the ends."""
    letters = ["", *mark.letters, ""]
    for index, part in enumerate(mark.parts):
        yield letters[index], part, letters[index + 2]


def _swapped(mark: Mark, part: Token, letter: str) -> str:
    """The mark's pattern with another letter for one part."""
    return "".join(
        letter * token.count if token is part else token.letter * token.count or token.text
        for token in mark.tokens
    )


def _differs(subject: Subject) -> str:
    """The next day on which the year of the week is not the calendar year, in words."""
    when = subject.when
    day = when.date() if when else date(2027, 1, 1)
    while day.isocalendar().year == day.year:
        day += timedelta(days=1)
    return f"on {day} the year of the week is {day.isocalendar().year}"

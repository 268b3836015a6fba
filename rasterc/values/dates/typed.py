"""Dates that are typed: from a text in a stated form to a day, and back.

A typed date is a day, not an instant: it has no time of day and is in no time zone. It lies in the
years 2000 to 2099, and two digits of a year are those of such a year: a text always means the same
day, whenever it is typed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date
from itertools import pairwise

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.source.declarations import DateForm
from rasterc.values.dates.clocks import fixed_clock
from rasterc.values.dates.languages import find_names
from rasterc.values.dates.patterns import Part, Pattern, parse_pattern

FIRST_DAY, LAST_DAY = date(2000, 1, 1), date(2099, 12, 31)
_CENTURY = 2000
_EXAMPLE = date(2027, 2, 3)

_WIDEST = {"d": 2, "M": 2, "D": 3, "y": 4, "Y": 4, "w": 2, "e": 1}
"""The letters of forms, and their digits at most."""

_FORMS = {"d": (1, 2), "M": (1, 2), "D": (1, 3), "y": (2, 4), "Y": (2, 4), "w": (1, 2), "e": (1,)}
_WAYS: tuple[tuple[frozenset[str], Callable[[Mapping[str, int]], date]], ...] = (
    (frozenset("ydM"), lambda read: date(read["y"], read["M"], read["d"])),
    (frozenset("yD"), lambda read: _of_year(read["y"], read["D"])),
    (frozenset("Ywe"), lambda read: date.fromisocalendar(read["Y"], read["w"], read["e"])),
)
"""What tells a day: the letters that are needed, and the day of what was read of them."""


def _of_year(year: int, day: int) -> date:
    found = date.fromordinal(date(year, 1, 1).toordinal() + day - 1)
    if found.year != year:
        raise ValueError("no such day of the year")
    return found


class TypedDate(Struct, frozen=True):
    """The form of a typed date, and the clocks that limit it.

    Attributes:
        form: how it is declared.
        pattern: that form, ready to print.
        firsts: names of the clocks on whose day or after which it has to be.
        lasts: names of those on whose day or before which it has to be.
        by_time: whether one of them goes by the time.
    """

    form: DateForm
    pattern: Pattern
    matcher: re.Pattern[str]
    firsts: tuple[str, ...] = ()
    lasts: tuple[str, ...] = ()
    by_time: bool = False

    @property
    def example(self) -> str:
        """A day as it is typed."""
        return self.text(_EXAMPLE)

    def text(self, day: date) -> str:
        """How a day is typed.

        >>> typed_date(DateForm("dd.MM.yy", None), "made")[0].text(date(2027, 2, 3))
        '03.02.27'
        """
        return self.pattern.render(fixed_clock(day))

    def day(self, text: str) -> date | None:
        """The day that a text means; None when it means none, or is not of the form.

        >>> typed_date(DateForm("dd.MM.yy", None), "made")[0].day("29.02.27") is None
        True
        """
        read = self._numbers(text)
        if read is None:
            return None
        try:
            found = _way_of(self.pattern)(read)
        except ValueError:
            return None
        return found if FIRST_DAY <= found <= LAST_DAY and self.text(found) == text else None

    def complaint(self, text: str) -> tuple[str, str] | None:
        """What is wrong with a text, and what to do; None when it means a day."""
        if self.day(text) is not None:
            return None
        written, example = self.form.pattern, self.example
        read = self._numbers(text)
        if read is None:
            return f"it is not written as {written}", f"write it like {example}"
        year = read.get("y", read.get("Y", _CENTURY))
        if not FIRST_DAY.year <= year <= LAST_DAY.year:
            years = f"{FIRST_DAY.year} to {LAST_DAY.year}"
            return f"it is not in the years {years}", "look at the year again"
        try:
            found = _way_of(self.pattern)(read)
        except ValueError:
            return "there is no such day", f"look it up in a calendar; it is written as {written}"
        if not FIRST_DAY <= found <= LAST_DAY:
            return "it is not in the years 2000 to 2099", "look at the year again"
        return f"it is not written as {written}", f"write it as {self.text(found)}"

    def _numbers(self, text: str) -> dict[str, int] | None:
        """The numbers at the letters of the form; None when it does not fit."""
        found = self.matcher.fullmatch(text)
        if found is None:
            return None
        read: dict[str, int] = {}
        for number, part in enumerate(_letters(self.pattern), 1):
            value = int(found[number])
            value += _CENTURY if part.letter in "yY" and part.count == 2 else 0
            if read.setdefault(part.letter, value) != value:
                return None
        return read


def typed_date(form: DateForm, name: str) -> tuple[TypedDate | None, list[Diagnostic]]:
    """A typed date of some form, without its limits; None with what is wrong with the form."""
    try:
        pattern = parse_pattern(form.pattern, form.span, find_names("en", None))
    except InputError as error:
        return None, list(error.diagnostics)
    fault = _fault(pattern)
    if fault is not None:
        message = f"input {name} cannot be typed so: {fault[0]}"
        return None, [Diagnostic("bad-date-form", message, form.span, fault[1])]
    return TypedDate(form, pattern, re.compile("".join(map(_expression, pattern.parts)))), []


def _letters(pattern: Pattern) -> list[Part]:
    return [part for part in pattern.parts if part.letter]


def _fault(pattern: Pattern) -> tuple[str, str] | None:
    letters = _letters(pattern)
    for part in letters:
        if part.count not in _FORMS.get(part.letter, ()):
            listed = "dd, d, MM, M, yy, yyyy, DDD, D, or YYYY, ww, e of the ISO week"
            said = f'"{part.letter * part.count}" is no number of a day'
            return said, f"dates are typed with {listed}"
    for part, after in pairwise(pattern.parts):
        follows = after.letter or after.text[:1].isdigit()
        if part.letter and part.count == 1 and part.letter != "e" and follows:
            double = part.letter * max(_FORMS[part.letter][-1], 2)
            return (
                f'where "{part.letter}" ends cannot be told, as digits follow',
                f"write {double}, or a character between them",
            )
    if not any(needed <= {part.letter for part in letters} for needed, _ in _WAYS):
        return "it does not tell one day", "write a year, month and day, dd.MM.yyyy; or yyyyDDD"
    return None


def _expression(part: Part) -> str:
    if not part.letter:
        return re.escape(part.render(fixed_clock(_EXAMPLE)))
    digits = f"1,{_WIDEST[part.letter]}" if part.count == 1 else f"{part.count}"
    return f"([0-9]{{{digits}}})"


def _way_of(pattern: Pattern) -> Callable[[Mapping[str, int]], date]:
    letters = {part.letter for part in _letters(pattern)}
    return next(way for needed, way in _WAYS if needed <= letters)

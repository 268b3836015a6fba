"""Dates written out by hand in literal texts, in the forms of all shipped languages."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache, lru_cache
from unicodedata import combining, normalize

from rasterc.values.dates.languages import LANGUAGES, find_names
from rasterc.values.dates.steps import month_length

_SIGN = r"[./\- ]"
_NUMBERS = re.compile(
    rf"(?<![\w./-])(\d{{1,2}})({_SIGN})(\d{{1,2}})\2(\d{{4}}|\d{{2}})\.?(?![\w/])"
)
_YEAR_FIRST = re.compile(
    r"(?<![\w./-])((?:19|20)\d{2})([./-]|年)(\d{1,2})(?:[./-]|月)(\d{1,2})日?(?![\w-])"
)
_MONTH_YEAR = re.compile(
    r"(?<![\w./-])(?:(0?[1-9]|1[0-2])[./-](20\d{2})|(0[1-9]|1[0-2])[/-](\d{2}))(?![\w./-])"
)
_OLDEST = 2000


@dataclass(frozen=True, slots=True)
class Written:
    """A date found in a text, from ``start`` to ``end``.

    ``days`` are the last days it can be read as, none when no calendar has it; ``whole`` whether it
    has its day.
    """

    text: str
    start: int
    end: int
    days: tuple[date, ...]
    whole: bool


@lru_cache(maxsize=4096)  # what is literal in a message is the same in all of its prints
def written_dates(text: str) -> tuple[Written, ...]:
    """The dates written in a text.

    >>> [str(w.days[-1]) for w in written_dates("BEST BEFORE 12 MAR 2027")]
    ['2027-03-12']
    >>> [str(w.days[0]) for w in written_dates("entro fine settembre 2016 / 10-11-09")]
    ['2016-09-30', '2009-10-11']
    """
    found = [*_named(text), *_in_numbers(text)]
    found.sort(key=lambda one: (one.start, -one.end))
    kept: list[Written] = []
    for one in found:
        if not kept or one.start >= kept[-1].end:
            kept.append(one)
    return tuple(kept)


def _in_numbers(text: str) -> Iterator[Written]:
    for match in _YEAR_FIRST.finditer(text):
        days = _days([(match[1], match[3], match[4])])
        yield Written(match[0], match.start(), match.end(), days, whole=True)
    for match in _NUMBERS.finditer(text):
        first, second, year = match[1], match[3], match[4]
        days = _days([(year, second, first), (year, first, second)])
        yield Written(match[0], match.start(), match.end(), days, whole=True)
    for match in _MONTH_YEAR.finditer(text):
        days = _days([(match[2] or match[4], match[1] or match[3], "")])
        yield Written(match[0], match.start(), match.end(), days, whole=False)


def _named(text: str) -> Iterator[Written]:
    plain, places = _plain(text)
    for match in _named_dates().finditer(plain):
        month = _months()[match["name"]]
        day, year = match["day"] or match["after"] or "", match["year"]
        start, end = places[match.start()], places[match.end() - 1] + 1
        days = _days([(year, str(month), day)])
        yield Written(text[start:end], start, end, days, whole=bool(day))


def _days(ways: list[tuple[str, str, str]]) -> tuple[date, ...]:
    """The last days of year, month and day, of those that the calendar has, the earliest first."""
    found: set[date] = set()
    for year, month, day in ways:
        whole = int(year) + (_OLDEST if len(year) == 2 else 0)
        try:
            last = int(day) if day else month_length(whole, int(month))
            found.add(date(whole, int(month), last))
        except ValueError:
            continue
    return tuple(sorted(found))


def month_named(text: str) -> int | None:
    """The month whose name, in a shipped language, a text is; None for other texts.

    >>> month_named(" JAN "), month_named("EKIM"), month_named("A")
    (1, 10, None)
    """
    plain, _ = _plain(text)
    return _months().get(plain.strip(" ./-"))


@cache
def _months() -> dict[str, int]:
    """The names of months, plain, of at least three letters; a name of two months is left out."""
    found: dict[str, int] = {}
    twice: set[str] = set()
    for language in LANGUAGES:
        for form, names in find_names(language, None).months.items():
            for number, name in enumerate(names, 1) if "narrow" not in form else ():
                plain = _plain(name)[0].strip(". ")
                if found.setdefault(plain, number) != number:
                    twice.add(plain)
    return {n: k for n, k in found.items() if len(n) > 2 and n.isalpha() and n not in twice}


@cache
def _named_dates() -> re.Pattern[str]:
    names = "|".join(sorted(map(re.escape, _months()), key=len, reverse=True))
    return re.compile(
        rf"(?<![\w])(?:(?P<day>\d{{1,2}})(?:\.|ER|ST|ND|RD|TH)?[ ./-]*(?:DE |D')?)?"
        rf"(?P<name>{names})\.?(?:[ ./-]+(?P<after>\d{{1,2}}),?(?= \d{{4}}))?"
        rf"[ ./-]*(?:DE )?(?P<year>20\d{{2}}|19\d{{2}}|\d{{2}})(?!\w)"
    )


def _plain(text: str) -> tuple[str, list[int]]:
    """A text in capitals without accents, and the place of each of its characters in the text."""
    chars: list[str] = []
    places: list[int] = []
    for place, char in enumerate(text):
        for part in normalize("NFD", char.upper()):
            if not combining(part):
                chars.append(part)
                places.append(place)
    return "".join(chars), places

"""Date patterns: the letters of Unicode Technical Standard 35, part 4 (Dates), that a code needs.

Weeks and weekday numbers are those of ISO 8601 in every language: weeks begin on Monday, and
week 1 has the year's first Thursday. Digits are 0 to 9 in every language. ASCII letters that are
no pattern letter are refused unless quoted, so that a forgotten apostrophe never prints a date
part by accident.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import msgspec
from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError, Span
from rasterc.values.dates.clocks import ClockValue
from rasterc.values.dates.languages import Names
from rasterc.values.dates.parts import (
    DAY,
    DAY_OF_YEAR,
    ERA,
    HALF_DAY,
    HOUR,
    HOUR_OF_HALF,
    ISO_YEAR,
    MINUTE,
    MONTH,
    QUARTER,
    SECOND,
    WEEK,
    WEEKDAY,
    YEAR,
    DatePart,
)
from rasterc.values.dates.parts import Shows as Shows
from rasterc.values.dates.tokens import WORD, Kind, Token, tokens_of

MAX_PATTERN = 200  # characters

Render = Callable[[ClockValue], str]
_Number = Callable[[ClockValue], int]
_Maker = Callable[[int, Names], Render]


class Letter(Struct, frozen=True):
    """A pattern letter.

    Attributes:
        meaning: what it stands for.
        part: what part of a date or time it prints.
        counts: how often it may be repeated.
        make: how it is printed, so often repeated and in a language.
    """

    meaning: str
    part: DatePart
    counts: tuple[int, ...]
    make: _Maker


class Part(Struct, frozen=True):
    """A run of one letter (``letter`` "M", ``count`` 3), or literal text (``letter`` "")."""

    letter: str
    count: int
    text: str
    render: Render

    @property
    def shows(self) -> Shows | None:
        """The part of the clock it shows, None for literal text."""
        return LETTERS[self.letter].part.shows if self.letter else None


class Pattern(Struct, frozen=True):
    """A date pattern in a language, ready to print."""

    parts: tuple[Part, ...]
    language: str = ""

    @property
    def shows_time(self) -> bool:
        """Whether it shows anything of the time of day."""
        return any(part.shows is Shows.TIME for part in self.parts)

    def render(self, value: ClockValue) -> str:
        """The text of a clock value."""
        return "".join([part.render(value) for part in self.parts])


def parse_pattern(raw: str, span: Span | None, names: Names) -> Pattern:
    """The pattern written as ``raw`` at ``span``.

    Raises:
        InputError: with a fault for each word that holds letters which are not understood.
    """
    if len(raw) > MAX_PATTERN:
        message = f"the date pattern has more than {MAX_PATTERN} characters"
        raise InputError.one(
            "bad-date-pattern", message, span, "put its text in literals beside it"
        )
    known = _Known(msgspec.msgpack.encode(names), names)
    parts: list[Part] = []
    faults: list[Diagnostic] = []
    reported_to = 0  # the end of the word last reported
    for token in tokens_of(raw):
        place = span.part(token.start, token.end) if span else None
        fault = _fault(token, place)
        if fault:
            faults += [fault] if token.start >= reported_to else []
            reported_to = WORD.match(raw, token.end).end()  # type: ignore[union-attr]
        elif token.kind is Kind.LETTER:
            letter, count = token.text[0], len(token.text)
            parts.append(Part(letter, count, token.text, _render(letter, count, known)))
        else:
            parts.append(Part("", 0, token.text, _constant(token.text)))
    if faults:
        raise InputError(faults)
    return Pattern(tuple(parts), names.language)


@dataclass(frozen=True, slots=True)
class _Known:
    """Names, equal to all that hold the same; their language alone does not tell: it has forms."""

    contents: bytes
    names: Names = field(compare=False)


@lru_cache(maxsize=1024)
def _render(letter: str, count: int, known: _Known) -> Render:
    """What prints a letter: the same for all patterns, so that equal parts are known as equal."""
    return LETTERS[letter].make(count, known.names)


def _fault(token: Token, place: Span | None) -> Diagnostic | None:
    match token.kind:
        case Kind.UNCLOSED:
            message = "the apostrophe is not closed"
            help = "text between apostrophes prints as it stands; '' prints an apostrophe"
        case Kind.DOUBLE_QUOTED:
            message = "a date pattern has no double quotes"
            help = f"write the pattern bare, dd.MM.yyyy, and text in it as '{token.text[1:-1]}'"
        case Kind.LETTER if token.text[0] not in LETTERS:
            message = f'"{token.text[0]}" is no letter of date patterns'
            help = _REMEDIES.get(token.text[0]) or _quote_it(token.text)
        case Kind.LETTER if len(token.text) not in LETTERS[token.text[0]].counts:
            letter = LETTERS[token.text[0]]
            message = f'"{token.text}" is no form of the {letter.meaning}'
            help = "write " + ", ".join(token.text[0] * n for n in letter.counts)
        case _:
            return None
    return Diagnostic("bad-date-pattern", message, place, help)


def _quote_it(text: str) -> str:
    return f"to print it, write it between apostrophes: '{text}'"


_REMEDIES = {
    "A": "AM and PM are a",
    "B": "AM and PM are a",
    "F": "the weekday's number is e",
    "J": "the day of the year is DDD",
    "N": "months are M, minutes m",
    "S": "seconds are ss",
    "U": "the year is y",
    "W": "the week of the year is ww",
    "X": "offsets from UTC are not printed",
    "Z": "offsets from UTC are not printed; to print the letter, write 'Z'",
    "b": "AM and PM are a",
    "i": "minutes are mm; the weekday's number is e",
    "j": "the day is d, the day of the year DDD",
    "n": "months are M, minutes m",
    "u": "the year is y, the weekday's number e",
    "v": "zone names are not printed",
    "x": "offsets from UTC are not printed",
    "z": "zone names are not printed",
}


def _constant(text: str) -> Render:
    return lambda _: text


def _number(get: _Number) -> _Maker:
    """The number in at least as many digits as letters."""
    return lambda count, _: lambda value: f"{get(value):0{count}}"


def _year(get: _Number) -> _Maker:
    """Two letters: the last two digits. Otherwise as many digits as letters, or more."""

    def make(count: int, names: Names) -> Render:
        return _number(lambda value: get(value) % 100 if count == 2 else get(value))(count, names)

    return make


_WIDTHS = {3: "abbreviated", 4: "wide", 5: "narrow", 6: "short"}


def _month(context: str) -> _Maker:
    def make(count: int, names: Names) -> Render:
        if count <= 2:
            return _number(MONTH.of)(count, names)
        texts = names.months[f"{context} {_WIDTHS[count]}"]
        return lambda value: texts[MONTH.of(value) - 1]

    return make


def _weekday(context: str, numbers_up_to: int) -> _Maker:
    def make(count: int, names: Names) -> Render:
        if count <= numbers_up_to:
            return _number(WEEKDAY.of)(count, names)
        texts = names.days[f"{context} {_WIDTHS[max(count, 3)]}"]
        return lambda value: texts[WEEKDAY.of(value) - 1]

    return make


def _era(count: int, names: Names) -> Render:
    """All days there are, of the years 1 to 9999, lie in the era that began with year 1."""
    return _constant(names.eras[_WIDTHS[max(count, 3)]][1])


def _half_day(count: int, names: Names) -> Render:
    texts = names.half_days[_WIDTHS[max(count, 3)]]
    return lambda value: texts[HALF_DAY.of(value)]


LETTERS: Mapping[str, Letter] = {
    "G": Letter("era", ERA, (1, 2, 3, 4, 5), _era),
    "y": Letter("year", YEAR, (1, 2, 4), _year(YEAR.of)),
    "Y": Letter("year of the week", ISO_YEAR, (1, 2, 4), _year(ISO_YEAR.of)),
    "Q": Letter("quarter", QUARTER, (1, 2), _number(QUARTER.of)),
    "q": Letter("quarter", QUARTER, (1, 2), _number(QUARTER.of)),
    "M": Letter("month", MONTH, (1, 2, 3, 4, 5), _month("format")),
    "L": Letter("month (stand-alone name)", MONTH, (1, 2, 3, 4, 5), _month("stand-alone")),
    "w": Letter("week", WEEK, (1, 2), _number(WEEK.of)),
    "d": Letter("day", DAY, (1, 2), _number(DAY.of)),
    "D": Letter("day of the year", DAY_OF_YEAR, (1, 2, 3), _number(DAY_OF_YEAR.of)),
    "E": Letter("weekday name", WEEKDAY, (1, 2, 3, 4, 5, 6), _weekday("format", 0)),
    "e": Letter("weekday", WEEKDAY, (1, 2, 3, 4, 5, 6), _weekday("format", 2)),
    "c": Letter("weekday (stand-alone)", WEEKDAY, (1, 3, 4, 5, 6), _weekday("stand-alone", 1)),
    "a": Letter("AM or PM", HALF_DAY, (1, 2, 3, 4, 5), _half_day),
    "h": Letter("hour 1 to 12", HOUR_OF_HALF, (1, 2), _number(lambda v: HOUR_OF_HALF.of(v) or 12)),
    "H": Letter("hour 0 to 23", HOUR, (1, 2), _number(HOUR.of)),
    "K": Letter("hour 0 to 11", HOUR_OF_HALF, (1, 2), _number(HOUR_OF_HALF.of)),
    "k": Letter("hour 1 to 24", HOUR, (1, 2), _number(lambda v: HOUR.of(v) or 24)),
    "m": Letter("minute", MINUTE, (1, 2), _number(MINUTE.of)),
    "s": Letter("second", SECOND, (1, 2), _number(SECOND.of)),
}
"""Every pattern letter. The one place where letters are declared."""


def letters_of(*parts: DatePart) -> frozenset[str]:
    """The letters that print one of these parts."""
    return frozenset(letter for letter, entry in LETTERS.items() if entry.part in parts)

"""Ways of writing brought from elsewhere, and how the same is written here.

Each entry of the table knows one such way: the statements it is found in, a pattern for its text,
and what to answer. They are looked for only where the parser could not go on, so nothing that is
right is ever touched.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from typing import NamedTuple

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.source.tree.keywords import KEYWORDS

MOVES_HELP = "write `to month end`, `to year start`, `to friday` or `to next friday`, say"
DATE_HELP = "dates are written year-month-day: 2028-02-29"
TIME_HELP = "times of day are written in hours and minutes: 06:00, 17:30"

_REACH = 200  # how far from the mistake a habit is looked for, in characters; bounds the time
_UNIT = r"(?:minute|hour|day|week|month|year)s?"
_GLUED = re.compile(
    r"(?:(?P<sign>[+-])\s*(?P<lead>\d+)\s*)?(?P<word>[^\W\d](?:\w|-(?=[^\W\d]))*)"
    rf"-(?P<number>\d+)\s*(?P<unit>{_UNIT})\b"
)
_MOVE = re.compile(
    rf"\b(?P<to>to|until|till)(?P<words>(?:\s+(?!(?:{'|'.join(KEYWORDS)}|to|short)(?![\w-]))[^\W\d][\w-]*)+)"
)
_SPOKEN = re.compile(
    rf"\b(?P<word>plus|add|and|after|minus|less|before)\s+(?P<amount>\w+)\s*(?P<unit>{_UNIT})\b"
)
_DATE = re.compile(
    r"(?<![\w.-])(?!\d{4}-\d{2}-\d{2}(?!\d))(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})(?!\w)"
)
_ZONE = re.compile(r"(?<=\d)\s+(?P<zone>[^\W\d][\w/+-]*)(?=\s*\{)")
_BRACKETS = re.compile(r"(?P<name>[^\W\d][\w-]*)\s*(?P<arguments>\[[^\]\r\n]*\]|\{[^}\"\r\n]*\})")
_DECIMAL_COMMA = re.compile(r"(?P<whole>\d+),(?P<part>\d+)")
_UNTIL = re.compile(r"(?:\b(?:to|until|till)\s+|-\s*)\d{1,2}[:.]\d{2}")
_AND_DAY = re.compile(r"\band\s+(?P<day>[^\W\d]\w*)")
_EDGES = {"start": "start", "beginning": "start", "first": "start", "end": "end", "last": "end"}


class Found(NamedTuple):
    """A habit found in the text: what to report, and where it ends."""

    diagnostic: Diagnostic
    end: int


class _Habit(NamedTuple):
    statements: tuple[str, ...]
    pattern: re.Pattern[str]
    answer: Callable[[re.Match[str], Span], Diagnostic]


def find(
    source: SourceText, statement: Span, at: int, declared: Collection[str] = ()
) -> Found | None:
    """The habit that explains why the text at ``at`` does not fit.

    Args:
        source: the text.
        statement: the keyword of the statement that ``at`` lies in.
        at: offset of what does not fit.
        declared: names that are declared: a minus sign in one of them is no mistake.
    """
    line_end = source.text.find("\n", at, at + _REACH)
    start, stop = max(statement.end, at - _REACH), line_end if line_end >= 0 else at + _REACH
    for habit in _HABITS:
        if statement.text not in habit.statements:
            continue
        for match in habit.pattern.finditer(source.text, start, stop):
            named = habit.pattern is _GLUED and f"{match['word']}-{match['number']}" in declared
            if match.start() <= at < match.end() and not named:
                return Found(habit.answer(match, _span(source, match)), match.end())
    return None


def _span(source: SourceText, match: re.Match[str], group: str | int = 0) -> Span:
    return Span(source, match.start(group), match.end(group))


def minus_remedy(text: str) -> str:
    """How to write steps whose minus sign lacks its blanks, or "" when that is not the matter.

    >>> minus_remedy("+ 1 month-1 day")
    'a minus sign needs blanks around it: + 1 month - 1 day'
    """
    match = _GLUED.search(text)
    return _minus_remedy(match) if match else ""


def _minus_remedy(match: re.Match[str]) -> str:
    lead = f"{match['sign']} {match['lead']} " if match["sign"] else ""
    apart = f"{lead}{match['word']} - {match['number']} {match['unit']}"
    return f"a minus sign needs blanks around it: {apart}"


def _glued(match: re.Match[str], span: Span) -> Diagnostic:
    name = f"{match['word']}-{match['number']}"
    return Diagnostic("syntax", f'"{name}" is read as one name', span, _minus_remedy(match))


def move_remedy(words: Sequence[str]) -> str:
    """How to write a move given by the words after ``to``.

    >>> move_remedy(["the", "end", "of", "the", "month"])
    'write: to month end'
    >>> move_remedy(["the", "next", "friday"])
    'write: to next friday'
    """
    telling = [word.lower() for word in words if word.lower() not in ("the", "of", "a", "day")]
    periods = [word for word in telling if word in ("month", "year")]
    edges = [_EDGES[word] for word in telling if word in _EDGES]
    if len(telling) == 2 and len(periods) == len(edges) == 1:
        return f"write: to {periods[0]} {edges[0]}"
    which, day = telling[:-1], "".join(telling[-1:])
    if day[:3] in DAYS and len(telling) < len(words) and which in ([], ["next"], ["previous"]):
        return f"write: to {' '.join(telling)}"
    return MOVES_HELP


DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def _move(match: re.Match[str], span: Span) -> Diagnostic:
    words = match["words"].split()
    blanks = len(match["words"]) - len(match["words"].lstrip())
    place = span.part(len(match["to"]) + blanks, len(match[0]))
    return no_move(words, place)


def no_move(words: Sequence[str], place: Span) -> Diagnostic:
    """The words after ``to`` are no move of a clock."""
    message = f'a clock cannot be moved "to {" ".join(words)}"'
    return Diagnostic("unknown-option", message, place, move_remedy(words))


def _spoken(match: re.Match[str], span: Span) -> Diagnostic:
    step = f"{match['amount']} {match['unit']}" if match["amount"].isdecimal() else "9 months"
    signs = ["-"] if match["word"] in ("minus", "less", "before") else ["+"]
    before = span.source.text[max(0, span.start - 40) : span.start]
    if match["word"] == "and" and re.search(r"-\s*\d+\s*\w+\s*$", before):
        signs = ["-", "+"]  # "- 1 month and 1 day" may mean either
    help = "write: " + " or ".join(f"{sign} {step}" for sign in signs)
    return Diagnostic("syntax", f'steps begin with + or -, not "{match["word"]}"', span, help)


def _date(match: re.Match[str], span: Span) -> Diagnostic:
    return Diagnostic("bad-date", f"{match[0]} is no date", span, date_remedy(match[0]))


def date_remedy(text: str) -> str:
    """How to write a date; the order of day and month is never guessed.

    >>> date_remedy("29.02.2028")
    'dates are written year-month-day: 2028-02-29'
    >>> date_remedy("03/02/2028")
    'dates are written year-month-day: 2028-02-03 or 2028-03-02'
    """
    first, middle, last = re.split("[./-]", text)
    if len(first) == 4:
        orders = [(first, middle, last)]
    elif len(last) == 4:
        orders = [(last, middle, first), (last, first, middle)]
    else:
        orders = []
    possible = [(y, m, d) for y, m, d in orders if 1 <= int(m) <= 12 and 1 <= int(d) <= 31]
    listed = dict.fromkeys(f"{y}-{m:0>2}-{d:0>2}" for y, m, d in possible)
    return f"dates are written year-month-day: {' or '.join(listed)}" if listed else DATE_HELP


def time_remedy(text: str) -> str:
    """How to write a time of day.

    >>> time_remedy("6"), time_remedy("05.59"), time_remedy('"06:00"')
    ('write 06:00', 'write 05:59', 'write 06:00')
    """
    match = re.fullmatch(r'["T]?(\d{1,2})(?:[:.h]?(\d{2}))?[h"]?', text)
    if match and int(match[1]) < 24 and int(match[2] or 0) < 60:
        blank = ", with a blank before it" if text.startswith("T") else ""
        return f"write {match[1]:0>2}:{match[2] or '00'}{blank}"
    return TIME_HELP


def _zone(match: re.Match[str], span: Span) -> Diagnostic:
    zone = match["zone"]
    place = span.part(match.start("zone") - match.start(), len(match[0]))
    offset = "+00:00" if zone in ("UTC", "GMT") else "+01:00"
    help = f"write the offset from UTC, {offset} for example, or leave it out"
    return Diagnostic("syntax", f'a moment has no zone name: "{zone}"', place, help)


def _brackets(match: re.Match[str], span: Span) -> Diagnostic:
    place = span.part(match.start("arguments") - match.start(), len(match[0]))
    help = f"write {match['name']}({match['arguments'][1:-1]})"
    message = "what belongs to a field stands in round parentheses"
    return Diagnostic("syntax", message, place, help)


def _decimal_comma(match: re.Match[str], span: Span) -> Diagnostic:
    message = f"{match[0]} is no number: decimals follow a point"
    return Diagnostic("syntax", message, span, f"write {match['whole']}.{match['part']}")


def _until(match: re.Match[str], span: Span) -> Diagnostic:
    message = "a part of a shift ends where the next one begins"
    return Diagnostic("syntax", message, span, f'leave out "{match[0].strip()}"')


def _and_day(match: re.Match[str], span: Span) -> Diagnostic:
    return Diagnostic(
        "syntax", "days are separated by commas", span, f'write ", {match["day"]}" instead'
    )


_PRINTING = ("line", "text", "check", "symbol")
_HABITS = (
    _Habit(("clock",), _GLUED, _glued),
    _Habit(("clock",), _SPOKEN, _spoken),
    _Habit(("clock",), _MOVE, _move),
    _Habit(("clock", "expect"), _DATE, _date),
    _Habit(("expect",), _ZONE, _zone),
    _Habit(("require",), _DECIMAL_COMMA, _decimal_comma),
    _Habit(("shift",), _UNTIL, _until),
    _Habit(("shift",), _AND_DAY, _and_day),
    _Habit(_PRINTING, _BRACKETS, _brackets),
)

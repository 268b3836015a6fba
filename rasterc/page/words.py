"""What can be written in a message, for completion: with what date letters print at a moment."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from msgspec import Struct

from rasterc.checks.measures import MEASURES
from rasterc.checks.registry import all_rules
from rasterc.fonts.library import FontBook
from rasterc.source.declarations import AtEnd, Restart
from rasterc.source.message import line_attributes
from rasterc.source.times import ShortMonth, Target, Unit
from rasterc.values.dates.clocks import ClockValue
from rasterc.values.dates.languages import LANGUAGES, find_names
from rasterc.values.dates.patterns import LETTERS
from rasterc.values.given.check_characters import ALGORITHMS


class Term(Struct, frozen=True):
    """Something that can be written, and what it does or prints."""

    text: str
    said: str


class Vocabulary(Struct, frozen=True):
    """What can be written, by where it can be."""

    statements: tuple[str, ...]
    patterns: tuple[Term, ...]
    options: tuple[Term, ...]
    attributes: tuple[Term, ...]
    measures: tuple[Term, ...]
    rules: tuple[Term, ...]
    algorithms: tuple[str, ...]
    fonts: tuple[str, ...]
    languages: tuple[str, ...]
    steps: tuple[str, ...]


_STATEMENTS = (
    "use", "message", "raster", "font", "language", "spacing", "gap", "clock", "shift", "counter",
    "input", "table", "text", "check", "block", "line", "picture", "require", "expect", "silence",
)  # fmt: skip
_OPTIONS = (
    Term("upper", "in capitals"),
    Term("lower", "in small letters"),
    Term("no-points", "abbreviations without points"),
    Term("first 2", "the first characters"),
    Term("last 2", "the last characters"),
    Term("from 2 to 4", "some characters, counted from 1"),
    Term("in fr", "names of another language"),
    Term("table ", "looked up in a table"),
    Term('pad 6 left "0"', "filled up to a width"),
    Term("blanks", "a counter filled up with blanks"),
)


def vocabulary(when: datetime, book: FontBook) -> Vocabulary:
    """The words of the language, with what each date letter prints at a moment."""
    return Vocabulary(
        _STATEMENTS,
        tuple(_patterns(when)),
        _OPTIONS,
        tuple(Term(one.example, "of a line") for one in line_attributes().values()),
        tuple(Term(name, measure.meaning) for name, measure in MEASURES.items()),
        tuple(Term(rule.id, rule.title) for rule in all_rules().values()),
        tuple(sorted(ALGORITHMS)),
        book.names(),
        tuple(sorted(LANGUAGES)),
        _steps(),
    )


def _patterns(when: datetime) -> Iterator[Term]:
    names, value = find_names("en", None), ClockValue(when, when.date())
    for letter, one in LETTERS.items():
        for count in one.counts:
            yield Term(letter * count, f"{one.make(count, names)(value)} - {one.meaning}")


def _steps() -> tuple[str, ...]:
    units = [f"{unit}s" for unit in Unit]
    moves = [f"to {target}" for target in Target if target is not Target.WEEKDAY]
    restarts = [f"restart {one.word}" for one in Restart]
    ends = [f"at end {one}" for one in AtEnd]
    return (*units, *moves, *restarts, *ends, *(f"short month {one}" for one in ShortMonth))

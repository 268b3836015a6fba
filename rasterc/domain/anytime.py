"""What a message can print whenever it prints: never too little, made without laying out time.

It takes no longer than reading the message, so that it can be asked of thousands. What is not known
well is any text.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from functools import cache

from rasterc.domain.fieldtexts import counter_texts, input_texts
from rasterc.domain.inputwords import InputWords, input_words
from rasterc.domain.texts import Component, Texts, after, listed, loose
from rasterc.values.dates import patterns as dates
from rasterc.values.dates.clocks import ClockValue
from rasterc.values.dates.parts import ISO_YEAR, YEAR, DatePart, Shows
from rasterc.values.fields.kinds import (
    MAX_TEXT,
    CheckText,
    ClockTable,
    ClockText,
    CounterText,
    FieldPlan,
    InputText,
    JoinedText,
    Piece,
    ShiftText,
)
from rasterc.values.fields.options import First, Last, LookUp, Lower, NoPoints, Pad, Part, Upper
from rasterc.values.given.inputs import InputRule
from rasterc.values.model import Run
from rasterc.values.plan import Plan
from rasterc.values.rows.written import languages_of

_MOST_NAMED = 4096  # characters that a pattern of an input may name
_OPTIONS = (First, Last, LookUp, Lower, NoPoints, Pad, Part, Upper)


def _open(shortest: int, longest: int) -> Component:
    """Any text of some lengths."""
    return loose((), shortest, max(longest, 1))


def is_open(part: Component) -> bool:
    """Whether texts have any characters."""
    return part.texts is None and not part.chars


ANYTHING = _open(0, MAX_TEXT)


class AnytimeTexts:
    """Works out the texts of the pieces of a plan; each named text once."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._tongues = languages_of(plan.message)  # of rows: dates may be in any of them
        self._named: dict[str, Texts] = {}

    def pieces(self, pieces: Iterable[Piece]) -> Texts:
        """The texts of pieces, one after another."""
        return tuple(
            part
            for piece in pieces
            for part in ([listed([piece.text])] if isinstance(piece, Run) else self._field(piece))
        )

    def _field(self, field: FieldPlan) -> Texts:
        texts = self._source(field)
        for option in field.options:
            if any(map(is_open, texts)) or not isinstance(option, _OPTIONS):
                return (ANYTHING,)
            texts = after(texts, option)
        return texts

    def _source(self, field: FieldPlan) -> Texts:
        match field.source:
            case ClockText() if self._tongues:
                return (ANYTHING,)
            case ClockText(_, pattern):
                return tuple(map(_letter, pattern.parts))
            case ClockTable(_, table, _):
                others = [] if table.other is None else [table.other]
                return (listed([*table.rows.values(), *others]),)
            case ShiftText(shift):
                return (listed(self.plan.schedules[shift].labels),)
            case CounterText(counter, width, fill):
                return (counter_texts(counter, width, fill),)
            case InputText(rule):
                return tuple(_input(rule))
            case JoinedText(declared, pieces):
                if declared.name not in self._named:
                    self._named[declared.name] = self.pieces(pieces)
                return self._named[declared.name]
            case CheckText(_, algorithm, _):
                return (loose(algorithm.results, algorithm.length, algorithm.length),)
        return (ANYTHING,)


def _letter(part: dates.Part) -> Component:
    """What a letter of a date pattern prints on any day of any clock."""
    if not part.letter:
        return listed([part.text])
    shown = dates.LETTERS[part.letter].part
    if shown.returns:
        return listed(map(part.render, _values(shown)))
    if shown in (YEAR, ISO_YEAR):
        return loose("0123456789", part.count, 2 if part.count == 2 else 4)
    return ANYTHING


@cache
def _values(part: DatePart) -> tuple[ClockValue, ...]:
    """A clock value for each number of a part whose numbers come again within eight years."""
    found: dict[int, ClockValue] = {}
    for value in _days() if part.shows is Shows.DAY else _times():
        found.setdefault(part.of(value), value)
    return tuple(found.values())


@cache
def _days() -> tuple[ClockValue, ...]:
    first = datetime(2024, 1, 1)
    walls = (first + timedelta(days) for days in range(8 * 366))
    return tuple(ClockValue(wall, wall.date()) for wall in walls)


@cache
def _times() -> tuple[ClockValue, ...]:
    day, midnight = date(2024, 1, 1), datetime(2024, 1, 1)
    minutes = [midnight + timedelta(minutes=n) for n in range(24 * 60)]
    seconds = [midnight + timedelta(seconds=n) for n in range(60)]
    return tuple(ClockValue(wall, day) for wall in (*minutes, *seconds))


def _input(rule: InputRule) -> Iterable[Component]:
    """The texts of an input; place by place where its pattern names few characters."""
    if rule.input.choices:
        return input_texts(rule, frozenset())
    if rule.automaton is None:
        return [_open(rule.input.min_length or 0, rule.max_length)]
    chars = _named(rule)
    words = input_words(rule, None) if chars is None else InputWords(rule, chars, whole=True)
    if not words.lengths():
        return []
    shortest, longest = words.lengths()[0], words.lengths()[-1]
    if chars is None:
        return [_open(shortest, longest)]
    places = words.places()
    rest = frozenset[str]().union(*places[shortest:])
    sure = [loose(some, 1, 1) for some in places[:shortest]]
    return [*sure, loose(rest, 0, longest - shortest)] if rest else sure


def _named(rule: InputRule) -> tuple[str, ...] | None:
    """The characters that the pattern of an input names; None when they are too many."""
    assert rule.automaton is not None
    sets = list(rule.automaton.moves)
    ranges = [(ord(first), ord(last)) for one in sets for first, last in one.ranges]
    if any(one.negated for one in sets) or sum(b - a + 1 for a, b in ranges) > _MOST_NAMED:
        return None
    return tuple(sorted({chr(code) for a, b in ranges for code in range(a, b + 1)}))

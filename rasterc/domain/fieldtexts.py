"""What each field of a message can print, from its plan: never too few texts, perhaps too many."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rasterc.diagnostics import InputError, Span
from rasterc.domain.inputwords import InputWords
from rasterc.domain.reach import Reach, names_shown
from rasterc.domain.texts import (
    MAX_TEXTS,
    Component,
    Texts,
    after,
    either,
    listed,
    loose,
    within_reason,
)
from rasterc.source.declarations import Counter, Table
from rasterc.source.times import Step
from rasterc.values.dates.patterns import Part
from rasterc.values.fields.kinds import (
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
from rasterc.values.fields.options import Option
from rasterc.values.given.counters import text_of
from rasterc.values.given.inputs import InputRule
from rasterc.values.given.tables import look_up
from rasterc.values.model import Run
from rasterc.values.plan import Plan

PLAIN = frozenset(map(chr, range(0x20, 0x7F)))
"""What an input that may be anything is taken to hold, unless told otherwise: ASCII."""


class FieldTexts:
    """Works out texts of fields; each field, named text and clock once.

    Args:
        plan: a plan without faults; one with cases only for the fields that are written in it.
        carried: what an input holds that may be any character, those of its font say.
        minutes: first and end of the time that is looked at; all time if None.
    """

    def __init__(
        self,
        plan: Plan,
        carried: frozenset[str] = PLAIN,
        minutes: tuple[int, int] | None = None,
    ) -> None:
        self.plan = plan
        self.carried = carried
        self._named: dict[str, Texts] = {}
        self._cases = [FieldTexts(case, carried, minutes) for case in _cases_of(plan)]
        self._whole: dict[Span, Texts] = {}
        self._letters: dict[tuple[str, str, int, tuple[str, ...]], Texts] = {}
        self._reach = Reach(plan, minutes)
        self._fields: dict[Span, Texts] = {}
        self._written = {field.span: field for field in plan.fields}

    def at(self, place: Span) -> Texts:
        """The texts of the field that is written at a place."""
        if place not in self._fields:
            self._fields[place] = self.field(self._written[place])
        return self._fields[place]

    def field(self, field: FieldPlan) -> Texts:
        """The texts of a field; over all cases of a plan that has some."""
        if self._cases:
            own = self._written[field.span]
            if own.span not in self._whole:
                self._whole[own.span] = self._of_cases(own)
            texts = self._whole[own.span]
            options = field.options[len(own.options) :]
        else:
            texts, options = self._source(field), field.options
        for option in options:
            texts = after(texts, option)
        return texts

    def _source(self, field: FieldPlan) -> Texts:
        match field.source:
            case ClockText():
                return self._clock(field.source)
            case ClockTable(_, table, span):
                return (listed(_rows_by_time(table, span)),)
            case ShiftText(shift):
                return (listed(self.plan.schedules[shift].labels),)
            case CounterText(counter, width, fill):
                return (counter_texts(counter, width, fill),)
            case InputText(rule):
                return input_texts(rule, self.carried)
            case JoinedText(declared, pieces):
                return self._joined(declared.name, pieces)
            case CheckText(_, algorithm, _):
                return (loose(algorithm.results, algorithm.length, algorithm.length),)
        raise AssertionError(f"no rule for {field.source}")

    def _clock(self, source: ClockText) -> Texts:
        parts = source.pattern.parts
        return tuple(one for part in parts for one in self.letter(source.clock, part, ()))

    def letter(self, clock: str, part: Part, options: Iterable[Option]) -> Texts:
        """The texts of one letter of a date pattern, after options."""
        if self._cases:
            key = clock, part.letter, part.count, names_shown(part)
            if key not in self._letters:
                found = [case.letter(clock, part, ()) for case in self._moved_apart(clock)]
                self._letters[key] = either(found)
            own = self._letters[key]
            for option in options:
                own = after(own, option)
            return own
        texts: Texts = (listed(self._reach.texts(clock, part)),)
        for option in options:
            texts = after(texts, option)
        return texts

    def _of_cases(self, field: FieldPlan) -> Texts:
        """The texts of a field over all cases: only dates may differ between them."""
        match field.source:
            case InputText() | CounterText():  # of a whole table
                texts = self._source(field)
                for option in field.options:
                    texts = after(texts, option)
                return texts
            case ClockText(clock):
                apart = {(_steps(c.plan, clock), c.language_of(field)): c for c in self._cases}
                return either([case.at(field.span) for case in apart.values()])
        return either([case.at(field.span) for case in self._cases])

    def language_of(self, field: FieldPlan) -> str:
        """The language of a date where it is written."""
        source = self._written[field.span].source
        return source.pattern.language if isinstance(source, ClockText) else ""

    def _moved_apart(self, clock: str) -> Iterable[FieldTexts]:
        """One of the cases for each way in which they move a clock."""
        return {_steps(case.plan, clock): case for case in reversed(self._cases)}.values()

    def _joined(self, name: str, pieces: tuple[Piece, ...]) -> Texts:
        if name not in self._named:
            parts = [
                (listed([piece.text]),) if isinstance(piece, Run) else self.field(piece)
                for piece in pieces
            ]
            self._named[name] = within_reason(tuple(part for texts in parts for part in texts))
        return self._named[name]


def _cases_of(plan: Plan) -> Iterable[Plan]:
    return () if plan.cases is None else plan.cases.plans()


def _steps(plan: Plan, clock: str) -> tuple[tuple[Step, ...], ...]:
    """The steps of a clock and of all that it is derived from."""
    found: list[tuple[Step, ...]] = []
    name: str | None = clock
    while name is not None:
        at = plan.clocks[name].clock
        found.append(at.steps)
        name = plan.schedules[at.shift].shift.clock if at.shift else at.base
    return tuple(found)


def _rows_by_time(table: Table, span: Span) -> Iterator[str]:
    assert table.every_minutes is not None
    minutes = 60 if table.every_of == "hour" else 24 * 60
    for part in range(-(-minutes // table.every_minutes)):
        try:
            yield look_up(table, str(part), span)
        except InputError:
            continue  # a row the table lacks is refused, nothing is printed


def counter_texts(counter: Counter, width: int, fill: str) -> Component:
    """The texts of a counter, filled up on the left to ``width``."""
    values = counter.values
    if len(values) <= MAX_TEXTS:
        return listed(text_of(counter, value).rjust(width, fill) for value in values)
    # So many values take every digit: those at the place above the step follow one another.
    lengths = sorted(len(text_of(counter, value)) for value in (values[0], values[-1]))
    chars = set(counter.digits) | ({fill} if lengths[0] < width else set())
    return loose(chars, max(width, lengths[0]), max(width, lengths[1]))


def input_texts(rule: InputRule, carried: frozenset[str]) -> Texts:
    """The texts of an input; with a pattern, place by place as far as every text goes."""
    if rule.input.choices:
        return (listed(rule.texts),)
    if rule.automaton is None:
        return (loose(carried, rule.input.min_length or 0, rule.max_length),)
    words = InputWords.of(rule, carried)
    if not words.lengths():
        return ()
    shortest, longest, places = words.lengths()[0], words.lengths()[-1], words.places()
    sure = tuple(loose(chars, 1, 1) for chars in places[:shortest])
    if shortest == longest:
        return sure
    rest = frozenset[str]().union(*places[shortest:])
    return (*sure, loose(rest, 0, longest - shortest))

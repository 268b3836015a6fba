"""The texts of a message's lines for many rows at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from rasterc.batch.columns import Column, Kept, Table, by_row, constant, faulty, merged
from rasterc.batch.digits import numerals
from rasterc.batch.machines import checked, machine_of
from rasterc.batch.rows import Rows
from rasterc.batch.times import SECONDS, Calendar, Minutely, second_value
from rasterc.diagnostics import InputError
from rasterc.domain.atoms import by_parts
from rasterc.domain.calendar import OF_LETTER
from rasterc.domain.codes import Index, firsts
from rasterc.source.declarations import Counter
from rasterc.source.quoting import composed
from rasterc.values import Plan
from rasterc.values.dates.clocks import ClockValue
from rasterc.values.dates.offsets import Flags
from rasterc.values.dates.patterns import Part
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
    Source,
)
from rasterc.values.fields.options import Option
from rasterc.values.given.check_characters import check_characters
from rasterc.values.given.inputs import InputRule
from rasterc.values.given.tables import by_time
from rasterc.values.model import Run


@dataclass(slots=True)
class Writer:
    """Writes the lines of a plan; keeps what is the same from block to block."""

    plan: Plan
    kept: Kept = field(default_factory=Kept)
    calendar: Calendar = field(init=False)

    def __post_init__(self) -> None:
        self.calendar = Calendar(self.plan)

    def of(self, rows: Rows) -> Written:
        """What is written in some rows.

        Raises:
            InputError: a zone then differed from UTC by a part of a minute.
        """
        return Written(self.plan, self.kept, rows, self.calendar.of(rows.at))


@dataclass(slots=True)
class Written:
    """The texts of a plan's pieces in some rows."""

    plan: Plan
    kept: Kept
    rows: Rows
    time: Minutely
    _named: dict[str, list[Column]] = field(default_factory=dict)

    def unusable(self) -> Flags:
        """Rows that tell a counter or an input what it cannot be."""
        bad = np.zeros(len(self.rows), np.bool_)
        for name, values in self.rows.counters.items():
            bad |= ~_reached(self.plan.message.counters[name], values)
        return bad | faulty(map(self.input, self.rows.inputs), len(bad))

    def line(self, pieces: Iterable[Piece]) -> list[Column]:
        """The columns of pieces one after another."""
        return [column for piece in pieces for column in self._piece(piece)]

    def _piece(self, piece: Piece) -> list[Column]:
        if isinstance(piece, Run):
            return [self.kept.once(("text", piece.text), lambda: constant(piece.text))]
        return self._field(piece)

    def _field(self, field: FieldPlan) -> list[Column]:
        columns = self._source(field.source)
        for option in field.options:
            if not by_parts(option):
                columns = [merged(columns, len(self.rows))]
            columns = [_changed(column, option) for column in columns]
        return columns

    def _source(self, source: Source) -> list[Column]:
        match source:
            case ClockText(clock, pattern):
                return [self._part(clock, part) for part in pattern.parts]
            case ClockTable():
                return [self._by_time(source)]
            case ShiftText(shift):
                return [self._shift(shift)]
            case CounterText():
                return self._counter(source)
            case InputText(rule):
                return [self.input(rule.input.name)]
            case JoinedText(declared, _):
                return self._once(declared.name, partial(self._joined, source))
            case CheckText(declared, _, _):
                return self._once(declared.name, partial(self._check, source))
        return [constant(None)]  # not known here: each row is resolved by itself

    def _once(self, name: str, make: Callable[[], list[Column]]) -> list[Column]:
        if name not in self._named:
            self._named[name] = make()
        return self._named[name]

    def _joined(self, source: JoinedText) -> list[Column]:
        columns = self.line(source.pieces)
        longest = sum(max(len(t or "") for t in column.table.texts) for column in columns)
        if longest <= MAX_TEXT:
            return columns
        one = merged(columns, len(self.rows))
        return [one.mapped("short enough", _short)]

    def _check(self, source: CheckText) -> list[Column]:
        columns = self.line(source.pieces)
        machine = machine_of(source.algorithm)
        if machine is not None:
            return [checked(machine, columns, len(self.rows))]
        work_out = partial(check_characters, source.algorithm)
        one = merged(columns, len(self.rows))
        return [one.mapped(("check", source.algorithm.name), work_out)]

    def _part(self, clock: str, part: Part) -> Column:
        if not part.letter:
            return constant(part.text)
        name = OF_LETTER[part.letter]
        if name == "second":
            return self._seconds(clock, part)
        values = self.time.feature(clock, name)
        first, which = firsts(values - int(values.min()))
        texts = self._letters(clock, part, values[first].tolist(), first)
        return self._where_valid(clock, texts, which)

    def _letters(self, clock: str, part: Part, values: list[int], first: Index) -> list[str]:
        """What a letter prints of each value, by the minutes that show them."""
        known: dict[int, str] = self.kept.once(("letter", id(part)), dict)
        new = [(v, at) for v, at in zip(values, first.tolist(), strict=True) if v not in known]
        shown = self.time.values(clock, [at for _, at in new])
        known |= {v: part.render(value) for (v, _), value in zip(new, shown, strict=True)}
        return [known[value] for value in values]

    def _where_valid(self, clock: str, texts: Sequence[str | None], which: Index) -> Column:
        valid = self.time.valid(clock)
        if valid.all():
            return Column(Table(tuple(texts)), which, self.time.basis)
        ids = np.where(valid, which, len(texts))
        return Column(Table((*texts, None)), ids, self.time.basis)

    def _seconds(self, clock: str, part: Part) -> Column:
        seconds = self.time.seconds
        if seconds is None or not self.time.runs(clock):
            return constant(part.render(second_value(0)))
        texts = (part.render(second_value(second)) for second in range(SECONDS))
        table = self.kept.once(("seconds", id(part)), lambda: Table(tuple(texts)))
        return by_row(table, seconds)

    def _by_time(self, source: ClockTable) -> Column:
        minutes = self.time.feature(source.clock, "time")
        first, which = firsts(minutes)
        shown = self.time.values(source.clock, first.tolist())
        texts = [_row(source, value) for value in shown]
        return self._where_valid(source.clock, texts, which)

    def _shift(self, shift: str) -> Column:
        labels = (*self.plan.schedules[shift].labels, None)
        return Column(Table(labels), self.time.point(shift) % len(labels), self.time.basis)

    def _counter(self, source: CounterText) -> list[Column]:
        counter = source.counter
        values = self.rows.counters.get(counter.name)
        if values is None:
            values = np.full(len(self.rows), counter.first, np.int64)
        usable = np.maximum(values, 0)
        return numerals(usable, self.kept, counter.digits, source.width, source.fill)

    def input(self, name: str) -> Column:
        """The texts of an input: None where none is told, or one that it cannot be."""
        return self._once(name, lambda: [self._input(self.plan.inputs[name])])[0]

    def _input(self, rule: InputRule) -> Column:
        told = self.rows.inputs.get(rule.input.name)
        if told is None:
            told = constant(rule.input.default)
        texts = (_accepted(rule, text, rule.input.default) for text in told.table.texts)
        table = told.table.once(("accepted", rule.input.name), lambda: Table(tuple(texts)))
        return Column(table, told.ids, told.basis)


def _changed(column: Column, option: Option) -> Column:
    return column.mapped(("option", id(option)), option.apply)  # the plan keeps it alive


def _accepted(rule: InputRule, text: str | None, default: str | None) -> str | None:
    text = default if text is None else text
    if text is None:
        return None
    text = composed(text)
    return None if rule.faults(text, None) else text


def _short(text: str) -> str:
    if len(text) > MAX_TEXT:
        raise InputError.one("text-too-long", "")
    return text


def _row(source: ClockTable, value: ClockValue) -> str | None:
    try:
        return by_time(source.table, value.wall, source.span)
    except InputError:
        return None


def _reached(counter: Counter, values: Index) -> Flags:
    """Whether a counter prints these values."""
    all_values = counter.values
    low, high = sorted((all_values[0], all_values[-1]))
    reached: Flags = (low <= values) & (values <= high) & ((values - low) % all_values.step == 0)
    return reached

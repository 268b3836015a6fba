"""Reading fields: what a declared name prints, with its date pattern, width and options."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.source.message import Message
from rasterc.source.pieces import Argument, Field, Literal
from rasterc.source.pieces import Piece as SourcePiece
from rasterc.source.quoting import name_of_field
from rasterc.values.dates.clocks import ClockPlan
from rasterc.values.dates.languages import Names
from rasterc.values.declarations import MAX_NESTING, too_deep
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
    Source,
)
from rasterc.values.fields.options import LookUp, Option
from rasterc.values.fields.read_clock import has_pattern, read_clock_field
from rasterc.values.fields.read_counter import read_counter_field
from rasterc.values.fields.read_options import Context, read_options
from rasterc.values.given.inputs import InputRule
from rasterc.values.model import Run


class FieldReader:
    """Makes the fields of a message ready, adding what is wrong with them to ``faults``."""

    def __init__(
        self,
        message: Message,
        clocks: Mapping[str, ClockPlan],
        inputs: Mapping[str, InputRule],
        names: Names,
        faults: list[Diagnostic],
    ) -> None:
        self.message = message
        self.clocks = clocks
        self.inputs = inputs
        self.names = names
        self.faults = faults
        self._named: dict[str, Source | None] = {}
        self._within: list[str] = []

    def pieces(self, pieces: Sequence[SourcePiece]) -> tuple[Piece, ...]:
        """Pieces made ready; those with faults are left out."""
        ready = (self._literal(p) if isinstance(p, Literal) else self.field(p) for p in pieces)
        return tuple(piece for piece in ready if piece is not None)

    def field(self, field: Field) -> FieldPlan | None:
        """A field made ready; None when it has faults."""
        known = len(self.faults)
        source, options = self._read(field)
        if source is None or len(self.faults) > known:
            return None
        return FieldPlan(field.name, field.span, source, options)

    def named(self, name: str) -> Source | None:
        """A declared text or check made ready, once; None when it has faults."""
        if name in self._named:
            return self._named[name]
        span = (self.message.texts.get(name) or self.message.checks[name]).span
        if name in self._within or len(self._within) == MAX_NESTING:
            self.faults.append(too_deep(name, span))
            return None
        self._within.append(name)
        known = len(self.faults)
        source = self._text(name) if name in self.message.texts else self._check(name)
        self._within.pop()
        self._named[name] = source if len(self.faults) == known else None
        return self._named[name]

    @staticmethod
    def _literal(literal: Literal) -> Run:
        return Run(literal.text, "", literal.span)

    def _read(self, field: Field) -> tuple[Source | None, tuple[Option, ...]]:
        message, name = self.message, field.name
        if "." in name:
            return self._column(field)
        if message.in_doubt(name):
            return None, self._look_through(field)
        if name in message.inputs and message.inputs[name].date and not has_pattern(field):
            return self._as_typed(name), self._options(field.arguments)
        if name in message.clocks:
            return self._clock(field)
        if name in message.counters:
            return read_counter_field(field, message, self.names, self.faults)
        source: Source | None = None
        if name in message.shifts:
            source = ShiftText(name)
        elif name in message.inputs:
            source = InputText(self.inputs[name])
        elif name in message.texts or name in message.checks:
            source = self.named(name)
        elif message.gaps is not None:  # it has been reported, and its kind is not known
            return None, ()
        else:
            self._unknown(field)
        return source, self._options(field.arguments)

    def _column(self, field: Field) -> tuple[Source | None, tuple[Option, ...]]:
        """A column of a product table: the key, looked up in it."""
        options = self._options(field.arguments)
        column = self.message.tables.get(field.name)
        products = self.message.products.get(field.name.partition(".")[0])
        if column is None or products is None or self.message.in_doubt(products.by):
            return None, options  # it has been reported
        look_up = LookUp(column, name_of_field(field.span))
        counter = self.message.counters.get(products.by)
        if counter is not None:
            return CounterText(counter, 0, counter.digits[0]), (look_up, *options)
        return InputText(self.inputs[products.by]), (look_up, *options)

    def _look_through(self, field: Field) -> tuple[Option, ...]:
        """Add what is wrong with the arguments of a field whose declaration is in doubt."""
        kind = self.message.gaps.kinds.get(field.name) if self.message.gaps else None
        if kind == "clock":
            return read_clock_field(field, self.message, self.names, self.faults)[1]
        if kind == "counter":
            return read_counter_field(field, self.message, self.names, self.faults)[1]
        printed = kind in ("shift", "input", "text", "check")
        return self._options(field.arguments) if printed else ()

    def _clock(self, field: Field) -> tuple[Source | None, tuple[Option, ...]]:
        source, options = read_clock_field(field, self.message, self.names, self.faults)
        self._refuse_time(field, source)
        return source, options

    def _as_typed(self, name: str) -> Source | None:
        """What a date prints that is given no pattern: what was typed."""
        date = self.inputs[name].date
        return None if date is None else ClockText(name, date.pattern)

    def _refuse_time(self, field: Field, source: Source | None) -> None:
        """A typed date, and what is counted from it, has no time of day."""
        clock = self.clocks.get(field.name)
        if clock is None or not clock.root.typed or source is None:
            return
        timed = isinstance(source, ClockText) and source.pattern.shows_time
        if timed or isinstance(source, ClockTable):
            message = f"{clock.root.name} is a date that is typed, and has no time of day"
            help = f"print days of it: {field.name}(dd.MM.yyyy), say"
            self.faults.append(Diagnostic("no-time-of-day", message, field.span, help))

    def _unknown(self, field: Field) -> None:
        m = self.message
        kinds = (m.clocks, m.shifts, m.counters, m.inputs, m.texts, m.checks)
        help = did_you_mean(field.name, [name for kind in kinds for name in kind])
        message = f'nothing that can be printed is called "{field.name}"'
        self.faults.append(Diagnostic("unknown-name", message, field.span, help))

    def _text(self, name: str) -> Source:
        declared = self.message.texts[name]
        return JoinedText(declared, self.pieces(declared.pieces))

    def _check(self, name: str) -> Source | None:
        from rasterc.values.given.check_characters import find_algorithm

        declared = self.message.checks[name]
        pieces = self.pieces(declared.pieces)
        try:
            algorithm = find_algorithm(declared.algorithm, declared.algorithm_span)
        except InputError as error:
            self.faults += error.diagnostics
            return None
        return CheckText(declared, algorithm, pieces)

    def _options(self, arguments: Sequence[Argument]) -> tuple[Option, ...]:
        options, faults = read_options(arguments, Context(self.message, self.names.language))
        self.faults += faults
        return options

"""Fields made ready to print: what each reads, and the options applied to it.

A field's source is one of the small classes below. They hold no state: the values at an instant
are kept, each computed once, in the `Moment` they are asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Protocol

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError, Span
from rasterc.source.declarations import Check, Counter, Table, Text
from rasterc.values.dates.patterns import Pattern
from rasterc.values.fields.options import Option
from rasterc.values.given.counters import text_of
from rasterc.values.given.inputs import InputRule
from rasterc.values.given.tables import by_time
from rasterc.values.model import Run

if TYPE_CHECKING:
    from rasterc.values.given.check_characters import CheckAlgorithm
    from rasterc.values.moment import Moment

MAX_TEXT = 20_000  # characters of one text: as many as a message may have strokes


class Source(Protocol):
    """Where a field's text comes from."""

    def text(self, moment: Moment) -> str:
        """The text at a moment.

        Raises:
            InputError: the values of the moment give none.
        """


class ClockText(Struct, frozen=True):
    """A clock printed by a date pattern.

    With ``no-points`` the pattern's names are without points; points written in it stay.
    """

    clock: str
    pattern: Pattern

    def text(self, moment: Moment) -> str:
        """The date or time."""
        return self.pattern.render(moment.clock(self.clock))


class ClockTable(Struct, frozen=True):
    """A clock read through a table of times of day."""

    clock: str
    table: Table
    span: Span

    def text(self, moment: Moment) -> str:
        """The row for the wall time."""
        return by_time(self.table, moment.clock(self.clock).wall, self.span)


class ShiftText(Struct, frozen=True):
    """The label of the running part of a shift."""

    shift: str

    def text(self, moment: Moment) -> str:
        """The label."""
        return moment.shift(self.shift).label


class CounterText(Struct, frozen=True):
    """A counter's value, filled up on the left to ``width`` characters."""

    counter: Counter
    width: int
    fill: str

    def text(self, moment: Moment) -> str:
        """The value in the counter's digits."""
        value = moment.counter(self.counter.name)
        return text_of(self.counter, value).rjust(self.width, self.fill)


class InputText(Struct, frozen=True):
    """An input as given."""

    rule: InputRule

    def text(self, moment: Moment) -> str:
        """The text given, or the default."""
        return moment.input(self.rule.input.name)


class JoinedText(Struct, frozen=True):
    """A declared text: its pieces joined."""

    declared: Text
    pieces: tuple[Piece, ...]

    def text(self, moment: Moment) -> str:
        """The pieces, one after another."""
        declared = self.declared
        return moment.named(declared.name, lambda: join(self.pieces, moment, declared.span))


class CheckText(Struct, frozen=True):
    """The check characters over pieces."""

    declared: Check
    algorithm: CheckAlgorithm
    pieces: tuple[Piece, ...]

    def text(self, moment: Moment) -> str:
        """The check characters alone."""
        return moment.named(self.declared.name, lambda: self._compute(moment))

    def _compute(self, moment: Moment) -> str:
        from rasterc.values.given.check_characters import check_characters

        checked = join(self.pieces, moment, self.declared.span)
        return check_characters(self.algorithm, checked, self.declared.span)


class FieldPlan(Struct, frozen=True):
    """A field at its place in a line, a text or a check."""

    name: str
    span: Span
    source: Source
    options: tuple[Option, ...]

    def text(self, moment: Moment) -> str:
        """What the field prints at a moment.

        Raises:
            InputError: the values of the moment give no text.
        """
        text = self.source.text(moment)
        for option in self.options:
            text = option.apply(text)
        return text

    def run(self, moment: Moment) -> Run:
        """The same as a run of its line."""
        return Run(self.text(moment), self.name, self.span)


Piece = Run | FieldPlan
"""Literal text, which is the same at every moment, or a field."""


def join(pieces: tuple[Piece, ...], moment: Moment, span: Span) -> str:
    """The texts of pieces, one after another.

    Raises:
        InputError: with the faults of all pieces; or the text is too long.
    """
    text = "".join(run.text for run in runs(pieces, moment))
    if len(text) > MAX_TEXT:
        message = f"the text has {len(text)} characters, more than {MAX_TEXT}"
        raise InputError.one("text-too-long", message, span, "use it fewer times")
    return text


def runs(pieces: tuple[Piece, ...], moment: Moment) -> tuple[Run, ...]:
    """The runs of pieces at a moment.

    Raises:
        InputError: with the faults of all pieces.
    """
    done: list[Run] = []
    faults: list[Diagnostic] = []
    for piece in pieces:
        if isinstance(piece, Run):
            done.append(piece)
            continue
        try:
            done.append(piece.run(moment))
        except InputError as error:
            faults += error.diagnostics
    if faults:
        raise InputError(dict.fromkeys(faults))
    return tuple(done)


def fields_read(pieces: Iterable[Piece]) -> Iterator[FieldPlan]:
    """The fields among pieces and, once each, those of the texts and checks they use."""
    todo = list(pieces)
    seen: set[str] = set()
    while todo:
        piece = todo.pop(0)
        if isinstance(piece, Run):
            continue
        yield piece
        source = piece.source
        if isinstance(source, JoinedText | CheckText) and source.declared.name not in seen:
            seen.add(source.declared.name)
            todo += source.pieces

"""Lines taken apart into tokens, fields of `text` and `check` declarations written out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from rasterc.checks.printed.introduced import ALONE, Surroundings
from rasterc.checks.subject import Subject, once
from rasterc.diagnostics import Span
from rasterc.source.message import Line, Picture
from rasterc.values import Moment, Run
from rasterc.values.dates.patterns import Part
from rasterc.values.fields.kinds import (
    ClockTable,
    ClockText,
    FieldPlan,
    JoinedText,
    Piece,
)
from rasterc.values.fields.options import First, Last, LookUp, Lower, Option, Pad, Upper
from rasterc.values.fields.options import Part as Cut

CODE = "\ufffc"
"""Stands for a character that a table prints for a date: no letter that words are made of."""
_NAME = 3  # a month of so many letters is a name, of fewer a code


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of a line as printed at one instant.

    Attributes:
        text: what it prints.
        letter, count: the date letter and how often it stands, "" and 0 for other pieces.
        whole: it prints all of its characters, none cut off by an option.
        coded: a table stands for it, with texts too short to be names.
        clock: the clock it is read from, "" for other pieces.
        field: the field it belongs to, None for literal text of the line.
        span: its place.
    """

    text: str
    span: Span
    letter: str = ""
    count: int = 0
    whole: bool = True
    coded: bool = False
    clock: str = ""
    field: FieldPlan | None = None

    @property
    def words(self) -> str:
        """Its text, or `CODE` for each character of a table that stands for a date."""
        return CODE * len(self.text) if self.coded else self.text

    @property
    def is_number(self) -> bool:
        """A date letter printed in digits."""
        return bool(self.letter) and self.text.isascii() and self.text.isdigit() and not self.coded


@dataclass(frozen=True, slots=True)
class PrintedLine:
    """A line's tokens, and the words a reader finds around it."""

    line: Line
    tokens: tuple[Token, ...]
    surroundings: Surroundings = ALONE

    @property
    def text(self) -> str:
        """What it prints."""
        return "".join(token.text for token in self.tokens)

    @property
    def words(self) -> str:
        """The same with `CODE` in the place of each character that a table prints for a date."""
        return "".join(token.words for token in self.tokens)


@once
def printed_lines(subject: Subject) -> tuple[PrintedLine, ...]:
    """The lines of a message at its instant, taken apart."""
    moment = subject.moment
    lines: list[PrintedLine] = []
    left: tuple[str, ...] = ()
    for block in subject.plan.blocks:
        plans = () if isinstance(block.content, Picture) else block.content
        bare = [PrintedLine(plan.line, tuple(_tokens(plan.pieces, moment))) for plan in plans]
        texts = tuple(line.words for line in bare)
        for index, line in enumerate(bare):
            level = left[index] if len(left) == len(bare) else ""
            lines.append(replace(line, surroundings=Surroundings(texts[:index], left, level)))
        left = texts or left  # a picture between two blocks parts no words
    return tuple(lines)


def _tokens(pieces: Sequence[Piece], moment: Moment) -> Iterator[Token]:
    for piece in pieces:
        if isinstance(piece, Run):
            yield Token(piece.text, piece.span)
            continue
        source = piece.source
        if isinstance(source, JoinedText) and not piece.options:
            yield from _tokens(source.pieces, moment)
        elif isinstance(source, ClockText):
            yield from _date_tokens(piece, source, moment)
        elif isinstance(source, ClockTable):
            letter = "m" if source.table.every_of == "hour" else "H"
            text = piece.text(moment)
            yield Token(text, piece.span, letter, 1, coded=True, clock=source.clock, field=piece)
        else:
            yield Token(piece.text(moment), piece.span, field=piece)


def _date_tokens(field: FieldPlan, source: ClockText, moment: Moment) -> Iterator[Token]:
    """The parts of a date pattern that are printed in the end, after the field's options."""
    value = moment.clock(source.clock)
    parts = source.pattern.parts
    texts = [part.render(value) for part in parts]
    if not field.options:
        yield from map(partial(_part_token, field, source.clock), parts, texts)
        return
    if any(isinstance(option, LookUp) for option in field.options):
        yield from _looked_up(field, source, field.text(moment))
        return
    kept = kept_cells([(i, char) for i, text in enumerate(texts) for char in text], field.options)
    for index, part in enumerate(parts):
        own = [char for owner, char in kept if owner == index]
        if own:
            yield Token(
                "".join(own), field.span, part.letter, part.count, len(own) == len(texts[index]),
                clock=source.clock if part.letter else "", field=field,
            )  # fmt: skip


def _part_token(field: FieldPlan, clock: str, part: Part, text: str) -> Token:
    """A part of a date pattern that is printed as it is."""
    return Token(
        text,
        field.span,
        part.letter,
        part.count,
        clock=clock if part.letter else "",
        field=field,
    )


def _looked_up(field: FieldPlan, source: ClockText, text: str) -> Iterator[Token]:
    """A table stands for all of the pattern's letters; its text goes with the first."""
    for part in source.pattern.parts:
        if part.letter:
            yield Token(
                text, field.span, part.letter, part.count,
                coded=len(text) < _NAME, clock=source.clock, field=field,
            )  # fmt: skip
            text = ""


def kept_cells(cells: list[tuple[int, str]], options: Sequence[Option]) -> list[tuple[int, str]]:
    """The characters that options leave, each with the part it comes from, -1 if filled in.

    ``cells`` are the characters before the options, each with its part's index.
    """
    for option in options:
        match option:
            case First(count):
                cells = cells[:count]
            case Last(count):
                cells = cells[-count:]
            case Cut(first, last):
                cells = cells[first - 1 : last]
            case Upper() | Lower():
                cells = [(owner, option.apply(char)) for owner, char in cells]
            case Pad(width, on_left, fill):
                filling = [(-1, fill)] * (width - len(cells))
                cells = filling + cells if on_left else cells + filling
    return cells

"""The dates and times a message prints, as a reader meets them: marks.

A line is taken apart into tokens, fields of `text` and `check` declarations written out; date
letters of one clock that stand together, with nothing but signs between them, are one mark.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from rasterc.checks.subject import Subject, once
from rasterc.diagnostics import Span
from rasterc.source.message import Line, Picture
from rasterc.values import Moment, Run
from rasterc.values.fields.kinds import (
    ClockTable,
    ClockText,
    FieldPlan,
    JoinedText,
    Piece,
)
from rasterc.values.fields.options import First, Last, LookUp, Lower, Option, Pad, Upper
from rasterc.values.fields.options import Part as Cut
from rasterc.values.plan import LinePlan

HOURS = frozenset("HhKk")
MONTHS = frozenset("ML")
WEEKDAYS = frozenset("Eec")
_NAME = 3  # a month of so many letters is a name, of fewer a code
_LONGEST_SIGN = 3


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
    def is_number(self) -> bool:
        """A date letter printed in digits."""
        return bool(self.letter) and self.text.isascii() and self.text.isdigit() and not self.coded


@dataclass(frozen=True, slots=True)
class PrintedLine:
    """A line's tokens, and the text of the line above it in its block."""

    line: Line
    tokens: tuple[Token, ...]
    above: str

    @property
    def text(self) -> str:
        """What it prints."""
        return "".join(token.text for token in self.tokens)


@dataclass(frozen=True, slots=True)
class Mark:
    """A date or time: tokens of one clock, and the signs between them.

    ``before`` is the text before it on its line; ``above`` that of the line above.
    """

    clock: str
    tokens: tuple[Token, ...]
    before: str
    above: str
    line: Line

    @property
    def parts(self) -> tuple[Token, ...]:
        """Its date letters, in order."""
        return tuple(token for token in self.tokens if token.letter)

    @property
    def letters(self) -> str:
        """Its date letters, once for each part: "dMy" for dd/MM/yyyy."""
        return "".join(part.letter for part in self.parts)

    @property
    def text(self) -> str:
        """What it prints."""
        return "".join(token.text for token in self.tokens)

    @property
    def pattern(self) -> str:
        """Its date letters as written, with the signs between them."""
        return self.rewritten({})

    def rewritten(self, letters: Mapping[str, str]) -> str:
        """Its pattern with other letters in the place of some."""
        return "".join(
            letters.get(token.letter, token.letter) * token.count or _quoted(token.text)
            for token in self.tokens
        )

    @property
    def span(self) -> Span:
        """From its first part to its last."""
        spans = [part.span for part in self.parts]
        first, last = spans[0], spans[-1]
        same = first.source is last.source and first.start <= last.end
        return Span(first.source, first.start, last.end) if same else first

    @property
    def label(self) -> str:
        """The words it is introduced by, in capitals: those before it, else the line above."""
        words = self.before.strip() or self.above.strip()
        return words.upper()

    def has(self, letters: Iterable[str]) -> bool:
        """Whether any of these letters is printed."""
        return any(letter in self.letters for letter in letters)

    def part(self, letters: Iterable[str]) -> Token | None:
        """The first part with one of these letters."""
        wanted = frozenset(letters)
        return next((part for part in self.parts if part.letter in wanted), None)


@once
def printed_lines(subject: Subject) -> tuple[PrintedLine, ...]:
    """The lines of a message at its instant, taken apart."""
    moment = subject.moment
    lines: list[PrintedLine] = []
    for block in subject.plan.blocks:
        above = ""
        for plan in () if isinstance(block.content, Picture) else block.content:
            lines.append(_line(plan, moment, above))
            above = lines[-1].text
    return tuple(lines)


@once
def marks(subject: Subject) -> tuple[Mark, ...]:
    """Every date and time a message prints, in the order of the lines."""
    return tuple(chain.from_iterable(map(_marks, printed_lines(subject))))


def _quoted(text: str) -> str:
    """Text as it stands in a pattern: letters between apostrophes."""
    letters = any(char.isascii() and char.isalpha() for char in text)
    return "'" + text.replace("'", "''") + "'" if letters else text


def _line(plan: LinePlan, moment: Moment, above: str) -> PrintedLine:
    return PrintedLine(plan.line, tuple(_tokens(plan.pieces, moment)), above)


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


def _marks(line: PrintedLine) -> Iterator[Mark]:
    run: list[Token] = []
    before = done = ""
    for token in line.tokens:
        inside = bool(run) and token.letter and token.clock == run[0].clock
        if run and not inside and not _joins(token, run):
            yield _mark(run, before, line)
            run = []
        if run:
            run.append(token)
        elif token.letter:
            run, before = [token], done
        done += token.text
    if run:
        yield _mark(run, before, line)


def _joins(token: Token, run: list[Token]) -> bool:
    """Whether a piece that is no date letter may stand inside a mark."""
    if token.letter:
        return False  # of another clock
    if token.field is not None:
        return token.field is run[-1].field  # text of the pattern itself
    return len(token.text) <= _LONGEST_SIGN and not any(c.isalnum() for c in token.text)


def _mark(run: list[Token], before: str, line: PrintedLine) -> Mark:
    last = max(index for index, token in enumerate(run) if token.letter)
    return Mark(run[0].clock, tuple(run[: last + 1]), before, line.above, line.line)

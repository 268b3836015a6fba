"""The dates and times a message prints, as a reader meets them: marks.

A line is taken apart into tokens, fields of `text` and `check` declarations written out; date
letters of one clock that stand together, with nothing but signs between them, are one mark.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain

from rasterc.checks.printed.introduced import ALONE, Surroundings, introduction
from rasterc.checks.printed.lead_words import Kind, Lead, leads_at_end
from rasterc.checks.subject import Subject, once
from rasterc.diagnostics import Span
from rasterc.source.message import Line, Picture
from rasterc.values import Moment, Run
from rasterc.values.dates.parts import HOUR, HOUR_OF_HALF, MONTH, WEEKDAY
from rasterc.values.dates.patterns import letters_of
from rasterc.values.fields.kinds import (
    ClockTable,
    ClockText,
    FieldPlan,
    InputText,
    JoinedText,
    Piece,
    ShiftText,
)
from rasterc.values.fields.options import First, Last, LookUp, Lower, Option, Pad, Upper
from rasterc.values.fields.options import Part as Cut

HOURS = letters_of(HOUR, HOUR_OF_HALF)
MONTHS = letters_of(MONTH)
WEEKDAYS = letters_of(WEEKDAY)
CODE = "\ufffc"
"""Stands for a character that a table prints for a date: no letter that words are made of."""
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


@dataclass(frozen=True, slots=True)
class Mark:
    """A date or time: tokens of one clock, and the signs between them.

    ``before`` is the text before it on its line, ``since`` that after the date before it, ``after``
    that which follows it; characters that a table prints for a date are `CODE` in them. ``around``
    is the line it stands on.
    """

    clock: str
    tokens: tuple[Token, ...]
    before: str
    since: str
    after: str
    around: PrintedLine

    @property
    def line(self) -> Line:
        """The line it stands on."""
        return self.around.line

    @property
    def above(self) -> str:
        """The text of the line above it in its block."""
        return next(reversed(self.around.surroundings.above), "")

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
        """The words it is introduced by, in capitals, as a person finds them on the pack.

        Those before it on its line, with the end of the line above where they are one lead; else
        the line above, the line at its side in the block before, or that whole block.
        """
        return (self._introduced or self.since.strip(" ") or self.above).strip().upper()

    @property
    def leads(self) -> tuple[Lead, ...]:
        """The known leads it is introduced by: one, in all languages that have its words."""
        return leads_at_end(self._introduced)

    @property
    def kinds(self) -> frozenset[Kind]:
        """What these say that it is."""
        return frozenset(lead.kind for lead in self.leads)

    @property
    def _introduced(self) -> str:
        return introduction(self.around.surroundings, self.before, self.since)

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


@once
def marks(subject: Subject) -> tuple[Mark, ...]:
    """Every date and time a message prints, in the order of the lines."""
    return tuple(chain.from_iterable(map(_marks, printed_lines(subject))))


def _quoted(text: str) -> str:
    """Text as it stands in a pattern: letters between apostrophes."""
    letters = any(char.isascii() and char.isalpha() for char in text)
    return "'" + text.replace("'", "''") + "'" if letters else text


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


def fields_introduced(subject: Subject) -> Iterator[tuple[Token, str]]:
    """Every field but dates, with the words that introduce it."""
    for line in printed_lines(subject):
        before = since = ""
        for token in line.tokens:
            if token.field is not None and not token.letter:
                yield token, introduction(line.surroundings, before, since) or since
            before += token.words
            since = "" if token.field is not None else since + token.words


@once
def words_vary(subject: Subject) -> bool:
    """Whether words on the lines come of inputs, tables or shifts, and so can be others."""
    return any(
        token.field is not None and not token.letter and any(map(str.isalpha, token.text))
        and isinstance(token.field.source, InputText | ShiftText) and len(token.text) > 1
        for line in printed_lines(subject)
        for token in line.tokens
    )  # fmt: skip


def _marks(line: PrintedLine) -> Iterator[Mark]:
    run: list[int] = []
    known = 0  # the tokens that marks before this one hold
    for index, token in enumerate(line.tokens):
        inside = bool(run) and token.letter and token.clock == line.tokens[run[0]].clock
        if run and not inside and not _joins(token, [line.tokens[i] for i in run]):
            yield _mark(run, known, line)
            known, run = _last(run, line) + 1, []
        if run or token.letter:
            run.append(index)
    if run:
        yield _mark(run, known, line)


def _joins(token: Token, run: list[Token]) -> bool:
    """Whether a piece that is no date letter may stand inside a mark."""
    if token.letter:
        return False  # of another clock
    if token.field is not None:
        return token.field is run[-1].field  # text of the pattern itself
    return len(token.text) <= _LONGEST_SIGN and not any(c.isalnum() for c in token.text)


def _last(run: list[int], line: PrintedLine) -> int:
    return max(index for index in run if line.tokens[index].letter)


def _mark(run: list[int], known: int, line: PrintedLine) -> Mark:
    first, last = run[0], _last(run, line)
    before, since, after = (
        "".join(token.words for token in line.tokens[part])
        for part in (slice(first), slice(known, first), slice(last + 1, None))
    )
    tokens = line.tokens[first : last + 1]
    return Mark(tokens[0].clock, tokens, before, since, after, line)

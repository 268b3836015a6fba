"""The dates and times a message prints, as a reader meets them: marks.

A line is taken apart into tokens, fields of `text` and `check` declarations written out; date
letters of one clock that stand together, with nothing but signs between them, are one mark.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import chain

from rasterc.checks.printed.introduced import introduction
from rasterc.checks.printed.lead_words import Kind, Lead, leads_at_end
from rasterc.checks.printed.tokens import PrintedLine, Token, printed_lines
from rasterc.checks.subject import Subject, once
from rasterc.diagnostics import Span
from rasterc.source.message import Line
from rasterc.values.dates.parts import HOUR, HOUR_OF_HALF, MONTH, WEEKDAY
from rasterc.values.dates.patterns import letters_of
from rasterc.values.fields.kinds import FieldPlan, InputText, ShiftText
from rasterc.values.fields.options import LookUp

HOURS = letters_of(HOUR, HOUR_OF_HALF)
MONTHS = letters_of(MONTH)
WEEKDAYS = letters_of(WEEKDAY)
_LONGEST_SIGN = 3
_GS1_DATES = tuple(f"({n})" for n in (11, 12, 13, 15, 16, 17, 7003, 7006, 7007, 8008))


@dataclass(frozen=True)  # no slots: what is asked for often is kept in the instance
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

    @cached_property
    def parts(self) -> tuple[Token, ...]:
        """Its date letters, in order."""
        return tuple(token for token in self.tokens if token.letter)

    @cached_property
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

    @cached_property
    def leads(self) -> tuple[Lead, ...]:
        """The known leads it is introduced by: one, in all languages that have its words."""
        return leads_at_end(self._introduced)

    @cached_property
    def kinds(self) -> frozenset[Kind]:
        """What these say that it is."""
        return frozenset(lead.kind for lead in self.leads)

    @cached_property
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
def marks(subject: Subject) -> tuple[Mark, ...]:
    """Every date and time a message prints, in the order of the lines."""
    return tuple(chain.from_iterable(map(_marks, printed_lines(subject))))


def _quoted(text: str) -> str:
    """Text as it stands in a pattern: letters between apostrophes."""
    letters = any(char.isascii() and char.isalpha() for char in text)
    return "'" + text.replace("'", "''") + "'" if letters else text


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
        and _varies(token.field) and len(token.text) > 1
        for line in printed_lines(subject)
        for token in line.tokens
    )  # fmt: skip


def _varies(field: FieldPlan) -> bool:
    """Whether a field that is no date may print other words."""
    looked_up = any(isinstance(option, LookUp) for option in field.options)
    return looked_up or isinstance(field.source, InputText | ShiftText)


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


def is_gs1(mark: Mark) -> bool:
    """An element of a GS1 code: its form is laid down, and `gs1-date` looks at it."""
    return mark.since.endswith(_GS1_DATES)

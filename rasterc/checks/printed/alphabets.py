"""The characters that can stand at one place of a code, where they are chosen freely."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rasterc.checks.subject import Subject
from rasterc.diagnostics import Span
from rasterc.source.declarations import Table
from rasterc.source.message import Line, Message, Picture
from rasterc.source.times import Shift
from rasterc.values import Run
from rasterc.values.fields.kinds import (
    CheckText,
    ClockTable,
    CounterText,
    FieldPlan,
    InputText,
    JoinedText,
    Piece,
    ShiftText,
)
from rasterc.values.fields.options import LookUp

_DIGITS, _LETTERS = "0123456789", "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_CODE = _DIGITS + _LETTERS
_PRINTABLE = "".join(map(chr, range(0x21, 0x7F)))


@dataclass(frozen=True, slots=True)
class Alphabet:
    """Characters that can stand at one place.

    Attributes:
        what: whose place it is, in words.
        characters: what can stand there, two at least.
        chosen: somebody chose them for the code; False for what a standard lays down.
        form: how the alphabet is written down: "set" of a pattern, "digits", "letters".
        rows: of a table, the character of each row in order.
    """

    what: str
    characters: str
    span: Span
    line: Line
    chosen: bool = True
    form: str = "set"
    rows: str = ""

    def without(self, left_out: str) -> str:
        """How to write it without some characters; a table gets others in their place."""
        kept = "".join(char for char in self.characters if char not in left_out)
        if self.form == "set":
            return f"[{_ranges(kept)}]"
        if self.form == "letters":
            letters = _as_many(self.rows, left_out)
            return f'letters "{letters}"' if letters else "give each row two characters"
        return f'{self.form} "{kept}"'


def alphabets(subject: Subject) -> Iterator[Alphabet]:
    """The alphabets of inputs, counters, tables and check characters, each once for each font."""
    seen: set[tuple[str, str, str]] = set()
    for line, field in printed_fields(subject):
        for alphabet in _of_field(field, line, subject.message):
            key = alphabet.what, alphabet.characters, line.font
            if key not in seen and len(alphabet.characters) > 1:
                seen.add(key)
                yield alphabet


def printed_fields(subject: Subject) -> Iterator[tuple[Line, FieldPlan]]:
    """Every field as it stands on a line, those of texts among them, with that line."""
    for block in subject.plan.blocks:
        for plan in () if isinstance(block.content, Picture) else block.content:
            for field in _within(plan.pieces):
                yield plan.line, field


def _within(pieces: tuple[Piece, ...]) -> Iterator[FieldPlan]:
    for piece in pieces:
        if isinstance(piece, Run):
            continue
        if isinstance(piece.source, JoinedText):
            yield from _within(piece.source.pieces)
        else:
            yield piece


def _of_field(field: FieldPlan, line: Line, message: Message) -> Iterator[Alphabet]:
    tables = [option for option in field.options if isinstance(option, LookUp)]
    match field.source:
        case _ if tables:
            yield from _of_table(tables[-1].table, line)
        case ClockTable(_, table, _):
            yield from _of_table(table, line)
        case CounterText(counter, _, _):
            what = f"counter {counter.name}"
            yield Alphabet(what, counter.digits, counter.span, line, form="digits")
        case InputText():
            yield from _of_input(field.source, line)
        case ShiftText(shift):
            yield from _of_shift(message.shifts[shift], line)
        case CheckText(declared, algorithm, _):
            what = f"check {declared.name}"
            yield Alphabet(what, algorithm.results, declared.span, line, chosen=False)


def _of_shift(shift: Shift, line: Line) -> Iterator[Alphabet]:
    """A shift whose parts are single characters."""
    labels = [part.label for part in shift.parts]
    if all(len(label) == 1 for label in labels):
        characters = "".join(dict.fromkeys(labels))
        yield Alphabet(f"shift {shift.name}", characters, shift.span, line, form="labels")


def _of_table(table: Table, line: Line) -> Iterator[Alphabet]:
    """A table of single characters; one of words is no alphabet."""
    texts = list(table.rows.values())
    if all(len(text) == 1 for text in texts):
        characters = "".join(dict.fromkeys(texts))
        what, rows = f"table {table.name}", "".join(texts)
        yield Alphabet(what, characters, table.span, line, form="letters", rows=rows)


def _as_many(rows: str, left_out: str) -> str:
    """As many different characters as rows, in order if the rows were; "" if there are too many.

    >>> _as_many("ABCDEFGHIJKL", "OI"), _as_many("HIO", "OI")
    ('ABCDEFGHJKLM', 'HJK')
    """
    kept = [char for char in dict.fromkeys(rows) if char not in left_out]
    after = _LETTERS.find(max(kept, default="")) + 1
    others = _LETTERS[after:] + _LETTERS[:after] + _DIGITS
    spare = [char for char in others if char not in (*kept, *left_out)]
    made = kept + spare[: len(rows) - len(kept)]
    if list(rows) == sorted(rows):
        made.sort(key=lambda char: (char.isdigit() and char not in rows, char))
    return "".join(made) if len(made) == len(rows) else ""


def _of_input(source: InputText, line: Line) -> Iterator[Alphabet]:
    from rasterc.values.given.regex import CharSet, parse_regex, walk

    declared = source.rule.input
    if declared.pattern is None:
        return
    tree, _ = parse_regex(declared.pattern)
    span = declared.pattern_span or declared.span
    for node in walk(tree):
        if isinstance(node, CharSet):
            among = _CODE if node.negated and not node.ranges else _PRINTABLE
            characters = "".join(char for char in among if char in node)
            yield Alphabet(f"input {declared.name}", characters, span, line)


def _ranges(characters: str) -> str:
    """Characters as a set of a pattern: runs of three or more are written with "-".

    >>> _ranges("ABCDEFGHJKLMNPQ19")
    '19A-HJ-NPQ'
    """
    ordered = sorted(characters)
    runs: list[list[str]] = []
    for char in ordered:
        if runs and ord(char) == ord(runs[-1][-1]) + 1:
            runs[-1].append(char)
        else:
            runs.append([char])
    written = [[f"\\{char}" if char in "\\]^-" else char for char in run] for run in runs]
    return "".join(f"{r[0]}-{r[-1]}" if len(r) > 2 else "".join(r) for r in written)

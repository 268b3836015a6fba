"""The syntax tree: what a text says before its names and kinds are known.

Every node keeps its span. Words, quoted texts and pieces already are the final ones of
`rasterc.source.message`: their escapes are resolved here, their meaning is not.

The nodes are named tuples, not dataclasses, for the sake of start-up time: of 25 classes it shows.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from rasterc.diagnostics import SourceText, Span
from rasterc.source.pieces import Literal, Piece, Word


class Phrase(NamedTuple):
    """Words up to the next comma: ``restart daily of packed``."""

    words: tuple[Word, ...]
    span: Span


class Use(NamedTuple):
    """``use "shared/plant.rasterc"``."""

    path: Word
    span: Span


class Setting(NamedTuple):
    """``raster 16``, ``font upright-7``: one of `SETTINGS` and its value."""

    keyword: Word
    value: Word
    span: Span


class ClockRead(NamedTuple):
    """``clock packed in "Europe/Dublin", day from 06:00``."""

    name: Word
    zone: Word
    day_from: Word | None
    span: Span


class OffsetStep(NamedTuple):
    """``+ 9 months``."""

    sign: Word
    amount: Word
    unit: Word
    span: Span


class MoveStep(NamedTuple):
    """``to month end``: the words after ``to``."""

    words: tuple[Word, ...]
    span: Span


class ClockDerived(NamedTuple):
    """``clock best = packed + 9 months``. ``start``: a clock, ``start of`` a shift, or a date."""

    name: Word
    start: tuple[Word, ...]
    steps: tuple[OffsetStep | MoveStep, ...]
    short_month: Word | None
    span: Span


class ShiftRow(NamedTuple):
    """``"A" from 06:00 on mon to fri, sun``: every element of ``days`` has one or two words.

    Days of a roster are numbers.
    """

    label: Word
    start: Word
    days: tuple[tuple[Word, ...], ...]
    span: Span


class RosterNode(NamedTuple):
    """``every 21 days from 2027-01-04``."""

    amount: Word
    unit: Word
    start: Word
    span: Span


class ShiftNode(NamedTuple):
    """``shift crew of packed { ... }``."""

    name: Word
    clock: Word
    roster: RosterNode | None
    rows: tuple[ShiftRow, ...]
    span: Span


class CounterNode(NamedTuple):
    """``counter case from 9 down to 1, restart daily``."""

    name: Word
    first: Word
    last: Word
    down: bool
    options: tuple[Phrase, ...]
    span: Span


class InputNode(NamedTuple):
    """``input lot length 6, default "AB1234"``."""

    name: Word
    options: tuple[Phrase, ...]
    span: Span


class TableRow(NamedTuple):
    """``1 -> "A"``, or ``"A"`` alone."""

    key: Word | None
    text: Word
    span: Span


class TableNode(NamedTuple):
    """``table months from 1 { ... }``. ``rows`` is None when there are no braces."""

    name: Word
    options: tuple[Phrase, ...]
    rows: tuple[TableRow, ...] | None
    span: Span


class TextNode(NamedTuple):
    """``text serial = "L" lot``."""

    name: Word
    pieces: tuple[Piece, ...]
    span: Span


class CheckNode(NamedTuple):
    """``check digit = luhn of serial``."""

    name: Word
    algorithm: Word
    pieces: tuple[Piece, ...]
    span: Span


class LineNode(NamedTuple):
    """``line font upright-7 row 8 : "A" b``."""

    words: tuple[Word, ...]
    pieces: tuple[Piece, ...]
    span: Span


class PictureNode(NamedTuple):
    """``picture "leaf.png" row 2``."""

    path: Word
    words: tuple[Word, ...]
    span: Span


class SymbolNode(NamedTuple):
    """``symbol KIND : pieces``."""

    kind: Word
    words: tuple[Word, ...]
    pieces: tuple[Piece, ...]
    span: Span


class SilenceNode(NamedTuple):
    """``silence look-alike because "..."``."""

    rule: Word
    reason: Word
    span: Span


BlockItem = LineNode | PictureNode | SymbolNode | SilenceNode


class BlockNode(NamedTuple):
    """``block gap 3 { ... }``."""

    words: tuple[Word, ...]
    content: tuple[BlockItem, ...]
    span: Span


class RequireNode(NamedTuple):
    """``require length <= 60 mm``."""

    measure: Word
    comparison: Word
    limit: Word
    unit: Word | None
    span: Span


class Moment(NamedTuple):
    """``at 2028-02-29 05:59+01:00``; ``word`` should be "at"."""

    word: Word
    date: Word
    time: Word
    offset: Word | None
    span: Span


class Given(NamedTuple):
    """``case 42``, ``lot "AB1234"``."""

    name: Word
    value: Word
    span: Span


class ExpectNode(NamedTuple):
    """``expect at ..., case 42 { "..." }``."""

    conditions: tuple[Moment | Given, ...]
    lines: tuple[Literal, ...]
    span: Span


ClockNode = ClockRead | ClockDerived
Declaration = ClockNode | ShiftNode | CounterNode | InputNode | TableNode | TextNode | CheckNode
Statement = Setting | Declaration | BlockNode | RequireNode | ExpectNode | SilenceNode


class MessageNode(NamedTuple):
    """``message elderflower { ... }``."""

    name: Word
    body: tuple[Statement, ...]
    span: Span


_NO_DECLARATIONS = (Setting, BlockNode, RequireNode, ExpectNode, SilenceNode)


def declarations_in(node: MessageNode) -> Iterator[Declaration]:
    """The declarations inside a message."""
    for item in node.body:
        if not isinstance(item, _NO_DECLARATIONS):
            yield item


class File(NamedTuple):
    """A whole file, in the order written."""

    source: SourceText
    items: tuple[Use | MessageNode | Declaration, ...]

    @property
    def uses(self) -> tuple[Use, ...]:
        """The other files it takes declarations from."""
        return tuple(item for item in self.items if isinstance(item, Use))

    @property
    def messages(self) -> tuple[MessageNode, ...]:
        """Its messages."""
        return tuple(item for item in self.items if isinstance(item, MessageNode))

    @property
    def declarations(self) -> tuple[Declaration, ...]:
        """Its declarations outside messages."""
        return tuple(item for item in self.items if not isinstance(item, Use | MessageNode))


KIND_NAMES: dict[type, str] = {
    ClockRead: "clock",
    ClockDerived: "clock",
    ShiftNode: "shift",
    CounterNode: "counter",
    InputNode: "input",
    TableNode: "table",
    TextNode: "text",
    CheckNode: "check",
}

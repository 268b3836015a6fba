"""The syntax tree: what a text says before its names and kinds are known.

Every node keeps its span. Words, quoted texts and pieces already are the final ones of
`rasterc.source.message`: their escapes are resolved here, their meaning is not.
"""

from __future__ import annotations

from dataclasses import dataclass

from rasterc.diagnostics import SourceText, Span
from rasterc.source.message import Literal, Piece, Word

DECLARATIONS = ("clock", "shift", "counter", "input", "table", "text", "check")
SETTINGS = ("raster", "font", "language", "spacing", "gap")
IN_BLOCK = ("line", "picture", "symbol")
KEYWORDS = (
    *("use", "message"),
    *DECLARATIONS,
    *SETTINGS,
    *("block", *IN_BLOCK),
    *("require", "expect"),
)
"""The words that begin a statement. They are reserved: nothing can be named so."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words up to the next comma: ``restart daily of packed``."""

    words: tuple[Word, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class Use:
    """``use "shared/plant.rasterc"``."""

    path: Word
    span: Span


@dataclass(frozen=True, slots=True)
class Setting:
    """``raster 16``, ``font upright-7``: one of `SETTINGS` and its value."""

    keyword: Word
    value: Word
    span: Span


@dataclass(frozen=True, slots=True)
class ClockRead:
    """``clock packed in "Europe/Dublin", day from 06:00``."""

    name: Word
    zone: Word
    day_from: Word | None
    span: Span


@dataclass(frozen=True, slots=True)
class OffsetStep:
    """``+ 9 months``."""

    sign: Word
    amount: Word
    unit: Word
    span: Span


@dataclass(frozen=True, slots=True)
class MoveStep:
    """``to month end``: the words after ``to``."""

    words: tuple[Word, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class ClockDerived:
    """``clock best = packed + 9 months``. ``start``: a clock, ``start of`` a shift, or a date."""

    name: Word
    start: tuple[Word, ...]
    steps: tuple[OffsetStep | MoveStep, ...]
    short_month: Word | None
    span: Span


@dataclass(frozen=True, slots=True)
class ShiftRow:
    """``"A" from 06:00 on mon to fri, sun``: every element of ``days`` has one or two words."""

    label: Word
    start: Word
    days: tuple[tuple[Word, ...], ...]
    span: Span


@dataclass(frozen=True, slots=True)
class ShiftNode:
    """``shift crew of packed { ... }``."""

    name: Word
    clock: Word
    rows: tuple[ShiftRow, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class CounterNode:
    """``counter case from 9 down to 1, restart daily``."""

    name: Word
    first: Word
    last: Word
    down: bool
    options: tuple[Phrase, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class InputNode:
    """``input lot length 6, default "AB1234"``."""

    name: Word
    options: tuple[Phrase, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class TableRow:
    """``1 -> "A"``, or ``"A"`` alone."""

    key: Word | None
    text: Word
    span: Span


@dataclass(frozen=True, slots=True)
class TableNode:
    """``table months from 1 { ... }``. ``rows`` is None when there are no braces."""

    name: Word
    options: tuple[Phrase, ...]
    rows: tuple[TableRow, ...] | None
    span: Span


@dataclass(frozen=True, slots=True)
class TextNode:
    """``text serial = "L" lot``."""

    name: Word
    pieces: tuple[Piece, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class CheckNode:
    """``check digit = luhn of serial``."""

    name: Word
    algorithm: Word
    pieces: tuple[Piece, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class LineNode:
    """``line font upright-7 row 8 : "A" b``."""

    words: tuple[Word, ...]
    pieces: tuple[Piece, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class PictureNode:
    """``picture "leaf.png" row 2``."""

    path: Word
    words: tuple[Word, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class SymbolNode:
    """``symbol KIND : pieces``."""

    kind: Word
    words: tuple[Word, ...]
    pieces: tuple[Piece, ...]
    span: Span


BlockItem = LineNode | PictureNode | SymbolNode


@dataclass(frozen=True, slots=True)
class BlockNode:
    """``block gap 3 { ... }``."""

    words: tuple[Word, ...]
    content: tuple[BlockItem, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class RequireNode:
    """``require length <= 60 mm``."""

    measure: Word
    comparison: Word
    limit: Word
    unit: Word | None
    span: Span


@dataclass(frozen=True, slots=True)
class Moment:
    """``at 2028-02-29 05:59+01:00``; ``word`` should be "at"."""

    word: Word
    date: Word
    time: Word
    offset: Word | None
    span: Span


@dataclass(frozen=True, slots=True)
class Given:
    """``case 42``, ``lot "AB1234"``."""

    name: Word
    value: Word
    span: Span


@dataclass(frozen=True, slots=True)
class ExpectNode:
    """``expect at ..., case 42 { "..." }``."""

    conditions: tuple[Moment | Given, ...]
    lines: tuple[Literal, ...]
    span: Span


ClockNode = ClockRead | ClockDerived
Declaration = ClockNode | ShiftNode | CounterNode | InputNode | TableNode | TextNode | CheckNode
Statement = Setting | Declaration | BlockNode | RequireNode | ExpectNode


@dataclass(frozen=True, slots=True)
class MessageNode:
    """``message elderflower { ... }``."""

    name: Word
    body: tuple[Statement, ...]
    span: Span


@dataclass(frozen=True, slots=True)
class File:
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

"""The typed message: what a source file says once its names and kinds are known.

Everything is frozen. Values are kept as the user wrote them where another room gives them their
meaning (date patterns, field options, check characters), together with the span, so that room can
still point at the place.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from enum import StrEnum
from functools import cache
from typing import Annotated, get_type_hints

from msgspec import Struct, field

from rasterc.diagnostics import Span
from rasterc.source.declarations import Check, Counter, Input, Products, Table, Text
from rasterc.source.pieces import Literal, Piece, Word
from rasterc.source.times import Clock, Shift

MAX_SPACING = 16


class Align(StrEnum):
    """Where a line stands in the width of its block, or a block's rows on the raster."""

    LEFT = "left"
    CENTER = "center"
    RIGHT = "right"


class Attribute(Struct, frozen=True):
    """How an attribute of a line is written, and what it acts on.

    Attributes:
        example: the attribute as written, with another value than when it is left out.
        number: for a whole number, what it is called and its least and greatest value.
        choices: for one of several words, all of them.
        sets: it changes the strokes of characters, not only where they stand.
    """

    example: str
    number: tuple[str, int, int] | None = None
    choices: type[StrEnum] | None = None
    sets: bool = True

    @property
    def words(self) -> int:
        """Words that follow its name."""
        return len(self.example.split()) - 1


class Line(Struct, frozen=True):
    """One row of characters. The one place where the attributes of lines are declared.

    Attributes:
        font: name of a font, or a path relative to the message file when it has a suffix.
        row: raster row of the line's lowest drop; None places it automatically.
        spacing: extra empty strokes between characters, beyond the font's own.
        bold: every stroke is printed this many times.
        wide: every stroke is followed by ``wide - 1`` empty ones.
        fixed: every character takes the width of the font's widest digit or letter A-Z.
        inverse: drops and gaps change places over the line's whole rows and length, with a border
            of one row and one stroke around it.
        tower: every character is turned a quarter to the left.
    """

    pieces: tuple[Piece, ...]
    span: Span
    font: Annotated[str, Attribute("font upright-9", sets=False)]
    font_span: Span
    row: Annotated[int | None, Attribute("row 3", ("the row", 0, 15), sets=False)] = None
    align: Annotated[Align, Attribute("align right", choices=Align, sets=False)] = Align.LEFT
    spacing: Annotated[int, Attribute("spacing 2", ("the spacing", 0, MAX_SPACING))] = 0
    bold: Annotated[int, Attribute("bold 2", ("bold", 1, 4))] = 1
    wide: Annotated[int, Attribute("wide 2", ("wide", 1, 4))] = 1
    fixed: Annotated[bool, Attribute("fixed")] = False
    inverse: Annotated[bool, Attribute("inverse")] = False
    tower: Annotated[bool, Attribute("tower")] = False


@cache
def line_attributes() -> Mapping[str, Attribute]:
    """The attributes of lines by name, in canonical order: what `Line` is annotated with."""
    hints = get_type_hints(Line, include_extras=True)
    found = {name: getattr(hint, "__metadata__", (None,))[0] for name, hint in hints.items()}
    return {name: one for name, one in found.items() if isinstance(one, Attribute)}


class Picture(Struct, frozen=True):
    """A 1-bit picture file (PNG or PBM), path relative to the message file."""

    path: str
    span: Span
    row: int | None = None
    inverse: bool = False


class Stand(StrEnum):
    """Where the one line or picture of a block stands on the raster."""

    BOTTOM = "bottom"  # its lowest row is row 0
    MIDDLE = "middle"  # as many rows are free above it as below it, or one more
    BASELINE = "baseline"  # its baseline is that of all blocks that stand so


class Block(Struct, frozen=True):
    """Lines stacked on the raster, or one picture; blocks stand side by side.

    ``gap`` is the number of empty strokes before it (0 before the first block unless written).
    """

    content: tuple[Line, ...] | Picture
    gap: int
    span: Span
    stand: Stand = Stand.BOTTOM


class Comparison(StrEnum):
    """How a measure is held against its limit."""

    AT_MOST = "<="
    AT_LEAST = ">="
    LESS = "<"
    MORE = ">"
    EQUAL = "="


class Require(Struct, frozen=True):
    """``require length <= 60 mm``: the measure and unit are given their meaning by the checks."""

    measure: Word
    comparison: Comparison
    limit: float
    unit: Word | None
    span: Span


class Expect(Struct, frozen=True):
    """An example that must hold: at this instant the lines read so.

    ``at`` is naive when written without an offset; None when the message has no clock.
    ``values`` gives counters and inputs by name.
    """

    at: datetime | None
    values: Mapping[str, Word]
    lines: tuple[Literal, ...]
    span: Span
    at_span: Span | None = None


class Silence(Struct, frozen=True):
    """``silence look-alike because "..."``: findings of a rule that are known and accepted.

    ``block`` is the block in which it stands; None when it holds for the whole message.
    """

    rule: Word
    reason: str
    block: Span | None
    span: Span


class Gaps(Struct, frozen=True):
    """What is not known of a message with mistakes.

    Later steps look for more mistakes in such a message, and say nothing of what its gaps may
    explain.

    Attributes:
        kinds: names declared with a mistake, and what each declares: "clock", "table", ...; "" when
            that is not clear.
        any_name: whether every other name may be declared too, in a file that could not be read.
    """

    kinds: Mapping[str, str]
    any_name: bool = False

    def may_hold(self, name: str) -> bool:
        """Whether ``name`` may be declared, though it is not among the message's declarations."""
        return self.any_name or name in self.kinds


class Message(Struct, frozen=True):
    """A whole message. Mappings keep the order of the source.

    ``folder`` is where relative paths in it start. ``tables`` also hold the columns of its
    ``products`` that are printed, as "products.name". ``gaps`` is None unless its file has
    mistakes.
    """

    name: str
    raster: int
    language: str
    language_span: Span | None
    clocks: Mapping[str, Clock]
    shifts: Mapping[str, Shift]
    counters: Mapping[str, Counter]
    inputs: Mapping[str, Input]
    tables: Mapping[str, Table]
    texts: Mapping[str, Text]
    checks: Mapping[str, Check]
    blocks: tuple[Block, ...]
    requires: tuple[Require, ...]
    expects: tuple[Expect, ...]
    span: Span
    raster_span: Span
    folder: str = "."
    silences: tuple[Silence, ...] = ()
    products: Mapping[str, Products] = field(default_factory=dict)
    gaps: Gaps | None = None

    def __repr__(self) -> str:
        """Its name and file."""
        return f"<Message {self.name} of {self.span.source.name}>"

    def in_doubt(self, name: str) -> bool:
        """Whether ``name`` is, or may be, declared with a mistake that has been reported."""
        return self.gaps is not None and self.gaps.may_hold(name)

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines, block by block, top to bottom."""
        return tuple(
            line for b in self.blocks if not isinstance(b.content, Picture) for line in b.content
        )

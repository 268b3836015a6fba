"""A laid-out message and its strokes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.diagnostics import Span
from rasterc.source.message import Line, Picture

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MAX_STROKES = 20_000
MAX_PICTURE_PIXELS = 4_000_000
MIN_RASTER, MAX_RASTER = 5, 16


class FieldBox(Struct, frozen=True):
    """The strokes and rows a run of text occupies on the raster.

    Strokes ``first`` (included) to ``end`` (excluded) count from the start of the message, rows
    ``bottom`` to ``top`` (excluded) from the lowest drop. ``name`` is "" for literal text.
    """

    name: str
    text: str
    block: int
    line: int
    first: int
    end: int
    bottom: int
    top: int
    span: Span


class PlacedLine(Struct, frozen=True):
    """A line's strokes as built from its font, shifted up to its row, and where they begin.

    ``columns`` are raster columns: bit r is raster row r. ``bottom`` to ``top`` (excluded) are the
    rows of its cell, whether or not they carry drops.
    """

    source: Line | Picture
    columns: tuple[int, ...]
    first: int
    bottom: int
    top: int
    boxes: tuple[FieldBox, ...]


class Layout(Struct, frozen=True):
    """Every line and picture at its place. ``length`` is the number of strokes in all."""

    raster: int
    length: int
    lines: tuple[PlacedLine, ...]

    @property
    def boxes(self) -> tuple[FieldBox, ...]:
        """The boxes of all fields, in source order."""
        return tuple(box for line in self.lines for box in line.boxes)


class Strokes(Struct, frozen=True):
    """The columns a head throws, left to right as read.

    Attributes:
        bits: one integer a column; bit r set when row r is printed, row 0 the least deflected.
        raster: drops high.
        boxes: the strokes each field occupies.
    """

    bits: tuple[int, ...]
    raster: int
    boxes: tuple[FieldBox, ...] = ()

    def __len__(self) -> int:
        return len(self.bits)

    @property
    def columns(self) -> NDArray[np.uint16]:
        """The columns as an array: shape (n,), uint16, read-only."""
        import numpy as np

        columns = np.array(self.bits, dtype=np.uint16)
        columns.flags.writeable = False
        return columns

    @property
    def drops(self) -> int:
        """Printed drops in all."""
        return sum(map(int.bit_count, self.bits))

    def art(self, on: str = "#", off: str = ".") -> str:
        """The drops as text, top row first: what the goldens keep."""
        rows = range(self.raster - 1, -1, -1)
        return "\n".join("".join(on if c >> r & 1 else off for c in self.bits) for r in rows)

"""A laid-out message and its strokes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rasterc.diagnostics import Span
from rasterc.source.message import Line, Picture

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MAX_STROKES = 20_000
MAX_PICTURE_PIXELS = 4_000_000
MIN_RASTER, MAX_RASTER = 5, 16


@dataclass(frozen=True, slots=True)
class FieldBox:
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


@dataclass(frozen=True, slots=True)
class PlacedLine:
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


@dataclass(frozen=True, slots=True)
class Layout:
    """Every line and picture at its place. ``length`` is the number of strokes in all."""

    raster: int
    length: int
    lines: tuple[PlacedLine, ...]

    @property
    def boxes(self) -> tuple[FieldBox, ...]:
        """The boxes of all fields, in source order."""
        return tuple(box for line in self.lines for box in line.boxes)


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """The columns a head throws, left to right as read.

    Attributes:
        columns: shape (n,), uint16; bit r set when row r is printed, row 0 the least deflected.
        raster: drops high.
        boxes: the strokes each field occupies.
    """

    columns: NDArray[np.uint16]
    raster: int
    boxes: tuple[FieldBox, ...] = ()

    def __len__(self) -> int:
        return int(self.columns.shape[0])

    @property
    def drops(self) -> int:
        """Printed drops in all."""
        import numpy as np

        return int(np.bitwise_count(self.columns).sum())

    def art(self, on: str = "#", off: str = ".") -> str:
        """The drops as text, top row first: what the goldens keep."""
        rows = range(self.raster - 1, -1, -1)
        columns = self.columns.tolist()
        return "\n".join("".join(on if c >> r & 1 else off for c in columns) for r in rows)

"""A layout to strokes, and strokes turned to suit how the product passes the head."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rasterc.layout.model import FieldBox, Layout, Strokes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def compile_strokes(layout: Layout) -> Strokes:
    """The columns to throw: shape (layout.length,), uint16, read-only."""
    import numpy as np

    columns = np.zeros(layout.length, dtype=np.uint16)
    for line in layout.lines:
        columns[line.first : line.first + len(line.columns)] |= np.array(
            line.columns, dtype=np.uint16
        )
    columns.flags.writeable = False
    return Strokes(columns, layout.raster, layout.boxes)


def orient(strokes: Strokes, upside_down: bool = False, mirrored: bool = False) -> Strokes:
    """Strokes as thrown when the product passes otherwise than from left to right, upright.

    ``upside_down`` turns the code by half a turn: rows and the order of strokes are reversed.
    ``mirrored`` reverses the order of strokes only. Both together leave a code with its rows
    reversed. The boxes follow their strokes.
    """
    reverse_order = upside_down != mirrored
    columns, boxes = strokes.columns, strokes.boxes
    if reverse_order:
        columns = columns[::-1].copy()
        boxes = tuple(_reversed_order(box, len(strokes)) for box in boxes)
    if upside_down:
        columns = _reversed_rows(columns, strokes.raster)
        boxes = tuple(
            replace(box, bottom=strokes.raster - box.top, top=strokes.raster - box.bottom)
            for box in boxes
        )
    columns.flags.writeable = False
    return Strokes(columns, strokes.raster, boxes)


def _reversed_order(box: FieldBox, length: int) -> FieldBox:
    return replace(box, first=length - box.end, end=length - box.first)


def _reversed_rows(columns: NDArray[np.uint16], raster: int) -> NDArray[np.uint16]:
    import numpy as np

    turned = np.zeros_like(columns)
    for row in range(raster):
        bit = columns >> np.uint16(row) & np.uint16(1)
        turned |= bit << np.uint16(raster - 1 - row)
    return turned

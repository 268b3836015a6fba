"""A layout to strokes, and strokes turned to suit how the product passes the head."""

from __future__ import annotations

from msgspec import structs

from rasterc.layout.model import FieldBox, Layout, Strokes


def compile_strokes(layout: Layout) -> Strokes:
    """The columns to throw, ``layout.length`` of them."""
    bits = [0] * layout.length
    for line in layout.lines:
        for stroke, column in enumerate(line.columns, line.first):
            bits[stroke] |= column
    return Strokes(tuple(bits), layout.raster, layout.boxes)


def orient(strokes: Strokes, upside_down: bool = False, mirrored: bool = False) -> Strokes:
    """Strokes as thrown when the product passes otherwise than from left to right, upright.

    ``upside_down`` turns the code by half a turn: rows and the order of strokes are reversed.
    ``mirrored`` reverses the order of strokes only. Both together leave a code with its rows
    reversed. The boxes follow their strokes.
    """
    raster, bits, boxes = strokes.raster, strokes.bits, strokes.boxes
    if upside_down != mirrored:
        bits = bits[::-1]
        boxes = tuple(_reversed_order(box, len(strokes)) for box in boxes)
    if upside_down:
        bits = tuple(_reversed_rows(column, raster) for column in bits)
        boxes = tuple(
            structs.replace(box, bottom=raster - box.top, top=raster - box.bottom) for box in boxes
        )
    return Strokes(bits, raster, boxes)


def _reversed_order(box: FieldBox, length: int) -> FieldBox:
    return structs.replace(box, first=length - box.end, end=length - box.first)


def _reversed_rows(column: int, raster: int) -> int:
    return int(f"{column:0{raster}b}"[::-1], 2)

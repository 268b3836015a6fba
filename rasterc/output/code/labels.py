"""Field names under a picture: where each is written."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from msgspec import Struct

from rasterc.layout.model import FieldBox, Strokes
from rasterc.output.code.geometry import DropGeometry

# Sizes of labels in SVG and PNG.
ROW_MM = 2.0
LETTER_HEIGHT_MM = 1.4
_LETTER_WIDTH_MM = 0.9  # room for a letter; most are narrower


class Label(Struct, frozen=True):
    """A field's name under its strokes ``first`` to ``end`` (excluded), on label row ``row``."""

    name: str
    first: int
    end: int
    row: int


def place_labels(strokes: Strokes, needed: Callable[[FieldBox], int]) -> tuple[Label, ...]:
    """The labels of all named fields, on as few rows as keep them apart.

    ``needed`` tells how many strokes a label takes; it has at least those of its field. Fields
    go, line by line, to the first label row where there is room.
    """
    free: list[int] = []  # the first free stroke of each label row
    labels = []
    boxes = [box for box in strokes.boxes if box.name]
    for box in sorted(boxes, key=lambda box: (box.line, box.first)):
        row = next((r for r, stroke in enumerate(free) if stroke <= box.first), len(free))
        if row == len(free):
            free.append(0)
        free[row] = box.first + max(box.end - box.first, needed(box)) + 1
        labels.append(Label(box.name, box.first, box.end, row))
    return tuple(labels)


def picture_labels(strokes: Strokes, geometry: DropGeometry) -> tuple[Label, ...]:
    """The labels of a picture drawn in mm."""
    pitch = geometry.stroke_pitch_mm
    return place_labels(strokes, lambda box: math.ceil(_name_mm(box.name) / pitch))


def labelled_size_mm(
    strokes: Strokes, geometry: DropGeometry, labels: Sequence[Label]
) -> tuple[float, float]:
    """Width and height of a picture that also has room for its labels."""
    width, height = geometry.size_mm(strokes)
    for label in labels:
        left = label_place_mm(label, strokes, geometry)[0]
        width = max(width, left + _name_mm(label.name) + geometry.margin_mm)
    return width, height + ROW_MM * max((label.row + 1 for label in labels), default=0)


def _name_mm(name: str) -> float:
    return len(name) * _LETTER_WIDTH_MM


def label_place_mm(
    label: Label, strokes: Strokes, geometry: DropGeometry
) -> tuple[float, float, float]:
    """Left end, width and top of a label's bracket; the name stands under it."""
    left = geometry.origin_mm(strokes)[0] - geometry.dot_diameter_mm / 2
    x = left + label.first * geometry.stroke_pitch_mm
    travel = max(0, label.end - label.first - 1) * geometry.stroke_pitch_mm
    y = geometry.size_mm(strokes)[1] - geometry.margin_mm / 2 + label.row * ROW_MM
    return x, travel + geometry.dot_diameter_mm, y

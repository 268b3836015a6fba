"""The documents of `rasterc show` and `rasterc compile`, and the files compile writes."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, InstantPart, Part


class BoxPart(Part, frozen=True, kw_only=True):
    """The strokes and rows that a field or a text takes."""

    name: str
    text: str
    block: int
    line: int
    first: Annotated[int, Meta(description="The first stroke, from 0.")]
    end: Annotated[int, Meta(description="The stroke after the last.")]
    bottom: Annotated[int, Meta(description="The lowest row, from 0.")]
    top: Annotated[int, Meta(description="The row above the highest.")]


class StrokesPart(Part, frozen=True, kw_only=True):
    """A message at an instant, as strokes."""

    raster: int
    strokes: Annotated[int, Meta(description="How many.")]
    drops: Annotated[int, Meta(description="How many.")]
    columns: Annotated[list[int], Meta(description="One a stroke; bit 0 is the lowest row.")]
    rows: Annotated[list[str], Meta(description="# for a drop, . for none; top row first.")]
    boxes: list[BoxPart]
    message: str
    instant: InstantPart
    texts: Annotated[list[str], Meta(description="One a line.")]
    products: Annotated[
        dict[str, dict[str, str]],
        Meta(description="Rows of product tables that were picked: cells by table and column."),
    ]


class StrokesFile(
    StrokesPart, frozen=True, kw_only=True, tag_field="schema", tag="rasterc/strokes/1"
):
    """What `compile --out FILE.json` writes."""


class ShowDocument(Document, frozen=True, kw_only=True, tag="rasterc/show/1"):
    """The messages of the file at an instant, and the picture that was written."""

    messages: list[StrokesPart]
    file: str | None


class CompileDocument(Document, frozen=True, kw_only=True, tag="rasterc/compile/1"):
    """The messages of the file at an instant, and the file that was written."""

    messages: list[StrokesPart]
    file: str | None

"""The document of `rasterc reading`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, Part


class BracketPart(Part, frozen=True, kw_only=True):
    """A chance lies between these two."""

    low: float
    high: float


class ReadLinePart(Part, frozen=True, kw_only=True):
    """How likely a line is misread."""

    text: str
    general: BracketPart
    lost: BracketPart
    moved: BracketPart


class PairPart(Part, frozen=True, kw_only=True):
    """A character that is taken for another, and where."""

    printed: str
    read_as: str
    field: str
    line: int
    column: int
    font: str
    places: int
    share: float
    general: Annotated[float, Meta(description="The chance at one place, by a general reader.")]
    lost: BracketPart


class ReadPart(Part, frozen=True, kw_only=True):
    """How likely a print is misread."""

    message: str
    loss: float
    spread: float
    general: BracketPart
    lost: BracketPart
    moved: BracketPart
    lines: list[ReadLinePart]
    pairs: list[PairPart]


class ReadingDocument(Document, frozen=True, kw_only=True, tag="rasterc/reading/1"):
    """How likely the prints of every message of the file are misread."""

    messages: list[ReadPart]

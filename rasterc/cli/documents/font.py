"""The documents of `rasterc font`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import DiagnosticPart, Document, Part


class FontPart(Part, frozen=True, kw_only=True):
    """A font."""

    name: str
    file: str
    height: int
    ascent: int
    descent: int
    spacing: int
    characters: int


class GlyphPart(Part, frozen=True, kw_only=True):
    """A glyph as rows of # and ., top row first."""

    char: str
    code: str
    width: int
    drops: int
    rows: list[str]


class SetPart(Part, frozen=True, kw_only=True):
    """A text set in the font."""

    text: str
    strokes: int
    rows: list[str]


class LookAlikesPart(Part, frozen=True, kw_only=True):
    """Two characters that few drops tell apart."""

    first: str
    second: str
    differing: int
    drops: int
    share: float


class FontShowDocument(Document, frozen=True, kw_only=True, tag="rasterc/font-show/1"):
    """The glyphs of a font, or a text set in it."""

    font: FontPart
    glyphs: Annotated[list[GlyphPart], Meta(description="Empty when a text is set.")]
    set: SetPart | None
    file: Annotated[str | None, Meta(description="The picture that was written.")]


class FontAuditDocument(Document, frozen=True, kw_only=True, tag="rasterc/font-audit/1"):
    """What a font lacks for a message, and what looks most alike in it."""

    font: FontPart
    missing: list[str]
    findings: list[DiagnosticPart]
    open_inputs: Annotated[list[str], Meta(description="Inputs that can be any text.")]
    closest: list[LookAlikesPart]


class FontImportDocument(Document, frozen=True, kw_only=True, tag="rasterc/font-import/1"):
    """The font that was written."""

    font: FontPart
    file: str


class FontExportDocument(Document, frozen=True, kw_only=True, tag="rasterc/font-export/1"):
    """The font that was written, or drawn."""

    font: FontPart
    file: str

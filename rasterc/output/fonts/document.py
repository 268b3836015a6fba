"""Fonts as plain JSON values."""

from __future__ import annotations

from collections.abc import Sequence

from rasterc.fonts.art import glyph_rows
from rasterc.fonts.audit import Pair
from rasterc.fonts.model import Font, Glyph
from rasterc.output.fonts.specimen import code_point, text_columns


def font_summary(font: Font) -> dict[str, object]:
    """What a font file says about the whole font."""
    return {
        "name": font.name,
        "file": font.origin,
        "height": font.height,
        "ascent": font.ascent,
        "descent": font.descent,
        "spacing": font.spacing,
        "characters": len(font.glyphs),
    }


def glyph_documents(font: Font, glyphs: Sequence[Glyph]) -> list[dict[str, object]]:
    """Glyphs of a font with their rows, top row first."""
    return [_glyph_document(glyph, font) for glyph in glyphs]


def _glyph_document(glyph: Glyph, font: Font) -> dict[str, object]:
    return {
        "char": glyph.char,
        "code": code_point(glyph.char),
        "width": glyph.width,
        "drops": glyph.drops,
        "rows": glyph_rows(glyph, font.height),
    }


def text_document(font: Font, text: str) -> dict[str, object]:
    """A text set in a font; raises `InputError` for characters it lacks."""
    columns = text_columns(font, text)
    return {
        "text": text,
        "strokes": len(columns),
        "rows": glyph_rows(Glyph(" ", columns), font.height),
    }


def pair_document(pair: Pair) -> dict[str, object]:
    """Two look-alikes."""
    return {
        "first": pair.first,
        "second": pair.second,
        "differing": pair.differing,
        "drops": pair.drops,
        "share": round(pair.share, 4),
    }

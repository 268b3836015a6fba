"""Fonts of any shape for property tests, and the drops of other libraries' bitmaps as sets."""

import io

import pytest
from hypothesis import strategies as st

from rasterc.fonts.model import Font, Glyph


@st.composite
def _fonts(draw, alphabet=None, min_width=0):
    """Fonts of 1 to 20 rows; no control characters and no surrogates, which no font file keeps."""
    ascent, descent = draw(st.integers(0, 12)), draw(st.integers(0, 8))
    ascent = max(ascent, 1 - descent)
    chars = st.characters(exclude_categories=("Cc", "Cs")) if alphabet is None else alphabet
    column = st.integers(0, (1 << (ascent + descent)) - 1)
    columns = st.lists(column, min_size=min_width, max_size=19).map(tuple)
    drawn = draw(st.dictionaries(chars, columns, min_size=1, max_size=6))
    glyphs = {char: Glyph(char, strokes) for char, strokes in drawn.items()}
    return Font("any-font", ascent, descent, draw(st.integers(0, 3)), glyphs, "any")


@pytest.fixture(scope="session")
def fonts():
    return _fonts


def _drops(font, char):
    """The drops of a glyph as (column, row) with row 0 just above the baseline."""
    columns = font.glyphs[char].columns
    return {
        (x, row - font.descent)
        for x, column in enumerate(columns)
        for row in range(font.height)
        if column >> row & 1
    }


@pytest.fixture(scope="session")
def drops():
    return _drops


def _freetype_drops(face, code):
    """What FreeType draws for a code of a bitmap font, as `drops`, and the advance.

    Moved right if it begins left of the origin, as our glyphs have no columns there.
    """
    import freetype

    face.load_char(code, freetype.FT_LOAD_RENDER)
    slot, bitmap = face.glyph, face.glyph.bitmap
    assert bitmap.pixel_mode == freetype.FT_PIXEL_MODE_MONO
    found = {
        (x + slot.bitmap_left, slot.bitmap_top - 1 - y)
        for y in range(bitmap.rows)
        for x in range(bitmap.width)
        if bitmap.buffer[y * bitmap.pitch + x // 8] >> (7 - x % 8) & 1
    }
    shift = -min([0, *(x for x, _ in found)])
    return {(x + shift, y) for x, y in found}, slot.advance.x >> 6


@pytest.fixture(scope="session")
def freetype_drops():
    return _freetype_drops


@pytest.fixture(scope="session")
def freetype_face():
    freetype = pytest.importorskip("freetype", reason="the extra outline is not installed")
    return lambda data: freetype.Face(io.BytesIO(data))

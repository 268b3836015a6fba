"""Dot fonts from outline fonts (TrueType, OpenType), drawn in black and white by FreeType.

Needs the extra ``outline``. What comes out is a start: at these heights a font drawn dot by dot
reads better, so export the result to glyph art and touch it up.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rasterc.diagnostics import Diagnostic, InputError, Severity
from rasterc.fonts.bitmap import Bitmap, FontFile, FontHeader, assemble, columns_of_rows, ink_rows
from rasterc.fonts.load import read_font_bytes

if TYPE_CHECKING:
    import freetype

LATIN_1 = "".join(map(chr, [*range(0x20, 0x7F), *range(0xA0, 0xAD), *range(0xAE, 0x100)]))
"""The printable characters of Latin-1, without the soft hyphen."""

MIN_HEIGHT, MAX_HEIGHT = 4, 64
MAX_CHARACTERS = 2_000  # each is drawn at up to some hundred sizes, to find the largest that fits
_MAX_REACH = 16 * MAX_HEIGHT  # pixels; real glyphs reach some three times the rows


class FontError(Exception):
    """A font file that opens, but whose glyphs cannot be drawn."""


def load_outline(path: Path, name: str, height: int, chars: str | None = None) -> FontFile:
    """Draw an outline font on cells of ``height`` rows.

    The size is the largest at which every character asked for fits into the rows, accents and
    descenders included: fewer characters give larger ones.

    Args:
        path: the TTF or OTF file.
        name: how the dot font is called.
        height: rows of the cell, ascent and descent together.
        chars: the characters to draw; those of Latin-1 when None.

    Raises:
        InputError: FreeType is not installed, the file is no such font, or characters that were
            asked for are not in it.
    """
    if not MIN_HEIGHT <= height <= MAX_HEIGHT:
        message = f"a height of {height} rows; it goes from {MIN_HEIGHT} to {MAX_HEIGHT}"
        raise InputError.one("bad-height", message)
    face = open_face(path)
    found, notes = _characters(face, path, chars)
    try:
        pixels, bitmaps = _largest_fit(face, path, height, found)
    except FontError as error:
        said = f"{path} is damaged: {error}"
        raise InputError.one("damaged-font", said, help="fetch it again") from None
    size = f"{path}: drawn at {pixels} pixels to the em"
    notes.append(Diagnostic("outline-size", size, severity=Severity.NOTE))
    descent = -ink_rows(bitmaps)[1]
    header = FontHeader(name, height - descent, descent, None, str(path))
    read = assemble(header, bitmaps)
    return FontFile(read.font, (*notes, *read.notes))


def _largest_fit(
    face: freetype.Face, path: Path, height: int, chars: Sequence[str]
) -> tuple[int, list[Bitmap]]:
    """The largest size at which the characters fit ``height`` rows, and their bitmaps."""
    # Below some 4 pixels hinting makes glyphs that are taller than the size, and illegible.
    for pixels in range(3 * height, 3, -1):
        bitmaps = draw(face, pixels, chars)
        top, bottom = ink_rows(bitmaps)
        if top - bottom <= height:
            return pixels, bitmaps
    raise InputError.one(
        "height-too-small",
        f"the characters of {path} do not fit {height} rows at any size",
        help="give more rows with --height, or fewer characters with --chars",
    )


def open_face(path: Path) -> freetype.Face:
    """The font file, opened by FreeType.

    Raises:
        InputError: FreeType is not installed, or the file is not a font it can scale.
    """
    try:
        import freetype
    except ImportError:
        raise InputError.one(
            "missing-extra",
            f"{path}: outline fonts need FreeType",
            help='install it with: pip install "rasterc[outline]"',
        ) from None
    data = read_font_bytes(path)
    try:
        face = freetype.Face(io.BytesIO(data))
    except freetype.FT_Exception:
        raise InputError.one("not-an-outline-font", f"{path} is not a font") from None
    if not face.is_scalable:
        raise InputError.one(
            "not-an-outline-font",
            f"{path} has no outlines",
            help="import bitmap fonts as .bdf or .pcf",
        )
    return face


def draw(face: freetype.Face, pixels: int, chars: Sequence[str]) -> list[Bitmap]:
    """Characters in black and white, ``pixels`` to the em, hinted for that.

    Raises:
        FontError: a character cannot be drawn, or is far larger than its size.
    """
    import freetype

    bitmaps = []
    char = ""
    try:
        face.set_pixel_sizes(0, pixels)
        for char in chars:
            face.load_char(char, freetype.FT_LOAD_TARGET_MONO)
            _refuse_huge(char, face.glyph)
            face.glyph.render(freetype.FT_RENDER_MODE_MONO)
            bitmaps.append(_bitmap(char, face.glyph))
    except freetype.FT_Exception as error:
        said = f"FreeType cannot draw U+{ord(char):04X}" if char else "FreeType cannot scale it"
        raise FontError(f"{said} ({error.errcode:#04x})") from None
    return bitmaps


def _refuse_huge(char: str, slot: Any) -> None:
    """Refuse a glyph before its pixels are made: a damaged outline can ask for gigabytes."""
    box = slot.outline.get_cbox()
    reach = max(map(abs, (box.xMin, box.xMax, box.yMin, box.yMax, slot.advance.x)))
    if reach > _MAX_REACH << 6:  # in 1/64 of a pixel
        raise FontError(f"U+{ord(char):04X} is more than {_MAX_REACH} pixels large")


def _bitmap(char: str, slot: Any) -> Bitmap:
    drawn = slot.bitmap
    columns = columns_of_rows(bytes(drawn.buffer), drawn.width, drawn.rows)
    bottom = slot.bitmap_top - drawn.rows
    return Bitmap(char, columns, slot.bitmap_left, bottom, slot.advance.x >> 6)


def _characters(
    face: freetype.Face, path: Path, chars: str | None
) -> tuple[list[str], list[Diagnostic]]:
    """The characters to draw, and a note about those of Latin-1 that are not there."""
    wanted = list(dict.fromkeys(LATIN_1 if chars is None else chars))
    if len(wanted) > MAX_CHARACTERS:
        said = f"{len(wanted):,} characters to draw; the limit is {MAX_CHARACTERS:,}"
        raise InputError.one("too-many-characters", said, help="name those that are printed")
    found = [char for char in wanted if face.get_char_index(char)]
    lacking = ", ".join(f"{c} (U+{ord(c):04X})" for c in wanted if c not in found)
    if lacking and (chars is not None or not found):
        raise InputError.one("missing-character", f"{path} does not have {lacking}")
    if not lacking:
        return found, []
    note = Diagnostic(
        "missing-character", f"{path} does not have {lacking}", severity=Severity.NOTE
    )
    return found, [note]

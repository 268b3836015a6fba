"""From the bitmaps of a font file to a `Font` on one common cell.

File formats place each character's bitmap by an offset from an origin on the baseline, and say how
far the origin moves on (the advance). A dot font has a cell all glyphs share, and strokes. Nothing
that a file draws is ever cut off: the cell grows to the tallest glyph, a glyph that reaches left of
its origin or past its advance gets the strokes it needs.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError, Severity
from rasterc.fonts.model import Font, Glyph

MAX_SIDE = 256  # rows, columns, offsets and advances of one glyph; a raster has 16 rows at most
MAX_COLUMNS = 1 << 21  # strokes of all glyphs together: 65,536 glyphs of 32
MAX_PLACES = 1 << 25  # places of all bitmaps together: 65,536 of 16 by 32


class Bitmap(Struct, frozen=True):
    """One character as a font file draws it.

    Attributes:
        char: the character (one code point).
        columns: strokes of the bitmap, left to right; bit 0 is its lowest row.
        left: columns from the origin to the first of ``columns``; may be negative.
        bottom: rows from the baseline up to bit 0; negative below the baseline.
        advance: columns from this origin to that of the next character.
    """

    char: str
    columns: tuple[int, ...]
    left: int
    bottom: int
    advance: int


class FontFile(Struct, frozen=True):
    """A font as read from a file, and what the reader had to decide about it."""

    font: Font
    notes: tuple[Diagnostic, ...] = ()


class FontHeader(Struct, frozen=True):
    """What a font file says about all its glyphs. ``spacing`` is None when it does not say."""

    name: str
    ascent: int
    descent: int
    spacing: int | None
    origin: str


class Room(Struct):
    """What is left for the glyphs of one file; asked before each is made."""

    origin: str
    columns: int = MAX_COLUMNS
    places: int = MAX_PLACES

    def take(self, width: int, height: int, advance: int) -> None:
        """Make room for a bitmap; raises `InputError` when there is none."""
        self.columns -= max(width, advance)
        self.places -= width * height
        if self.columns < 0 or self.places < 0:
            said = (
                f"the glyphs of {self.origin} have over {MAX_COLUMNS:,} strokes "
                f"or {MAX_PLACES:,} places for drops"
            )
            help = "keep the characters that are printed, in a file of their own"
            raise InputError.one("font-too-large", said, help=help)


def columns_of_rows(data: bytes, width: int, height: int) -> tuple[int, ...]:
    """Columns of a bitmap given as rows, top first, each padded to whole bytes on the right.

    >>> columns_of_rows(bytes([0b11000000, 0b10000000]), width=2, height=2)
    (3, 2)
    """
    if not height or not width:
        return (0,) * width
    bits = f"{int.from_bytes(data, 'big'):0{len(data) * 8}b}"
    stride = len(data) // height * 8
    return tuple([int(bits[x::stride], 2) for x in range(width)])


def assemble(header: FontHeader, bitmaps: Iterable[Bitmap]) -> FontFile:
    """The font of these bitmaps.

    When the header gives no spacing, it is the blank that every inked glyph has to the right of its
    ink, so that advances stay as they were.

    Raises:
        InputError: nothing printable is left, or the font is too large.
    """
    trimmed, notes = _usable([_trim(bitmap) for bitmap in bitmaps], header.origin)
    spacing = _common_blank(trimmed) if header.spacing is None else header.spacing
    ascent, descent = _cell(header, trimmed)
    if (ascent, descent) != (header.ascent, header.descent):
        notes.append(_grown(header, ascent, descent))
    glyphs = {b.char: Glyph(b.char, _strokes(b, spacing, descent)) for b in trimmed}
    font = Font(header.name, ascent, descent, spacing, glyphs, header.origin)
    return FontFile(font, tuple(notes))


def _trim(bitmap: Bitmap) -> Bitmap:
    """The bitmap without the blank columns at its sides."""
    columns = bitmap.columns
    if columns and columns[0] and columns[-1]:
        return bitmap
    inked = [x for x, column in enumerate(columns) if column]
    first, end = (inked[0], inked[-1] + 1) if inked else (0, 0)
    left = bitmap.left + first if inked else 0
    return Bitmap(bitmap.char, columns[first:end], left, bitmap.bottom, bitmap.advance)


def _usable(bitmaps: Sequence[Bitmap], origin: str) -> tuple[list[Bitmap], list[Diagnostic]]:
    """The bitmaps a dot font can hold, and notes about the others."""
    notes: list[Diagnostic] = []
    usable: dict[str, Bitmap] = {}
    controls, marks, twice = [], [], []
    for bitmap in bitmaps:
        if unicodedata.category(bitmap.char) in ("Cc", "Cs"):
            controls.append(bitmap.char)
        elif bitmap.columns and bitmap.advance <= 0:
            marks.append(bitmap.char)
        elif bitmap.char in usable:
            twice.append(bitmap.char)
        else:
            usable[bitmap.char] = bitmap
    notes += _left_out(origin, controls, "control characters cannot be printed")
    notes += _left_out(origin, marks, "marks set over another character are not supported")
    notes += _left_out(origin, twice, "drawn more than once; the first drawing is kept")
    if not usable:
        raise InputError(
            [Diagnostic("empty-font", f"{origin} holds no character that can be printed"), *notes]
        )
    return list(usable.values()), notes


def _left_out(origin: str, chars: Sequence[str], why: str) -> list[Diagnostic]:
    if not chars:
        return []
    named = ", ".join(f"U+{ord(c):04X}" for c in chars[:8]) + (", ..." if len(chars) > 8 else "")
    many = "glyph" if len(chars) == 1 else "glyphs"
    message = f"{origin}: {len(chars)} {many} left out ({named})"
    return [Diagnostic("glyph-left-out", message, help=why, severity=Severity.NOTE)]


def _common_blank(bitmaps: Iterable[Bitmap]) -> int:
    blanks = [b.advance - b.left - len(b.columns) for b in bitmaps if b.columns]
    return max(0, min(blanks, default=0))


def ink_rows(bitmaps: Iterable[Bitmap]) -> tuple[int, int]:
    """Rows from the baseline up to the top of all ink, and to its lowest row (negative below).

    Both are 0 when there is no ink on that side of the baseline.
    """
    top = bottom = 0
    for bitmap in bitmaps:
        ink = 0
        for column in bitmap.columns:
            ink |= column
        if ink:
            top = max(top, bitmap.bottom + ink.bit_length())
            bottom = min(bottom, bitmap.bottom + (ink & -ink).bit_length() - 1)
    return top, bottom


def _cell(header: FontHeader, bitmaps: Iterable[Bitmap]) -> tuple[int, int]:
    """Ascent and descent that hold every drop."""
    top, bottom = ink_rows(bitmaps)
    ascent, descent = max(header.ascent, top), max(header.descent, -bottom, 0)
    return max(ascent, 1 - descent, 0), descent


def _grown(header: FontHeader, ascent: int, descent: int) -> Diagnostic:
    stated, needed = header.ascent + header.descent, ascent + descent
    return Diagnostic(
        "cell-grown",
        f"{header.origin}: the cell is {needed} rows instead of {stated}, "
        "so that every glyph fits in it",
        severity=Severity.NOTE,
    )


def _strokes(bitmap: Bitmap, spacing: int, descent: int) -> tuple[int, ...]:
    """The glyph's strokes: bit 0 is the lowest row of the cell."""
    left, up = bitmap.left, bitmap.bottom + descent
    end = max(bitmap.advance - spacing, left + len(bitmap.columns), 0)
    # Shifting down drops nothing: the cell holds all ink, so the rows below it are blank.
    ink = [c << up for c in bitmap.columns] if up >= 0 else [c >> -up for c in bitmap.columns]
    before, after = max(left, 0), end - left - len(ink)
    return (0,) * before + tuple(ink) + (0,) * after

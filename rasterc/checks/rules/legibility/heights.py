"""Heights of characters, and the least a matrix needs."""

from __future__ import annotations

from math import ceil

from rasterc.fonts.model import Font
from rasterc.profile.model import LineProfile

MIN_COLUMNS, MIN_ROWS = 5, 7
"""ISO 9241-3: the least matrix for digits and capitals, width x height."""


def matrix(font: Font) -> tuple[int, int]:
    """Columns and rows of a font's capital H and zero, whichever is larger; 0 if it has neither."""
    widths = (font.glyphs[char].width for char in "H0" if char in font.glyphs)
    return max(widths, default=0), font.rows_of("H0")


def taller(rows: int, limit_mm: float, profile: LineProfile) -> str:
    """What makes characters of so many rows higher, in words: row pitch and throw."""
    dot, pitch = profile.product.dot_diameter_mm, profile.head.row_pitch_mm
    wanted = (limit_mm - dot) / max(1, rows - 1)
    throw = profile.head.throw_mm * wanted / pitch
    return (
        f"a row pitch of {wanted:.3f} mm: rows spread with the throw, about "
        f"{ceil(throw * 10) / 10:g} mm instead of {profile.head.throw_mm:g} mm"
    )

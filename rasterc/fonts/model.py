"""Dot fonts: the model, apart from every file format."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct


class Glyph(Struct, frozen=True):
    """One character as drops.

    Attributes:
        char: the character (one code point).
        columns: its strokes left to right; bit r is set when row r has a drop, row 0 being the
            lowest row of the font. Does not include the font's spacing. May be empty.
    """

    char: str
    columns: tuple[int, ...]

    @property
    def width(self) -> int:
        """Number of strokes."""
        return len(self.columns)

    @property
    def drops(self) -> int:
        """Number of printed drops."""
        return sum(c.bit_count() for c in self.columns)


class Font(Struct, frozen=True):
    """Glyphs on a common cell.

    Attributes:
        name: how messages call it.
        ascent: rows from the baseline up.
        descent: rows below the baseline.
        spacing: empty strokes printed between two characters.
        glyphs: by character.
        origin: the file it was read from, as the user knows it; "" when made in memory.
    """

    name: str
    ascent: int
    descent: int
    spacing: int
    glyphs: Mapping[str, Glyph]
    origin: str = ""

    def __repr__(self) -> str:
        """Its name and size."""
        return f"<Font {self.name}: {self.height} rows, {len(self.glyphs)} glyphs>"

    @property
    def height(self) -> int:
        """Rows of the cell: ascent + descent."""
        return self.ascent + self.descent

    def missing(self, text: Iterable[str]) -> tuple[str, ...]:
        """Characters of ``text`` the font does not carry, each once, in order."""
        return tuple(dict.fromkeys(c for c in text if c not in self.glyphs))

    def cell_width(self) -> int:
        """Width of the widest digit or letter A-Z (of any glyph if it has none of them)."""
        common = [g.width for c, g in self.glyphs.items() if c.isascii() and c.isalnum()]
        return max(common or [g.width for g in self.glyphs.values()] or [0])

    def rows_of(self, chars: str) -> int:
        """Rows from the baseline to the top drop of the tallest of ``chars`` the font carries.

        ``rows_of("x")`` is the x-height, ``rows_of("H")`` the capital height, in rows.
        """
        columns = (c for ch in chars if ch in self.glyphs for c in self.glyphs[ch].columns)
        return max((c.bit_length() - self.descent for c in columns), default=0)

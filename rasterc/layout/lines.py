"""A line's characters as strokes: spacing, bold, wide, fixed width, tower.

Every glyph stroke becomes ``bold`` printed strokes followed by ``wide - 1`` empty ones. Between
two characters stand ``font.spacing + line.spacing`` empty strokes, each widened in the same way
but never made bold. The line ends with its last stroke: what would follow it is left out. So
the length of a line is a sum over its characters less one constant::

    length(text) = sum(advance(c) for c in text) - trailing        (0 for an empty text)
    advance(c) = strokes(c) * (bold + wide - 1) + (font.spacing + line.spacing) * wide
    trailing = (font.spacing + line.spacing) * wide + wide - 1

``inverse`` adds a border, without which letters would run into what is beside them: a row above
and below, and a stroke at either end of a line that prints anything.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from rasterc.fonts.model import Font
from rasterc.source.message import Line, line_attributes

StyleKey = tuple[object, ...]


class LineSetter:
    """Sets the characters of one font in one style, and remembers the strokes of each.

    Attributes:
        font: the font.
        rows: rows of the line's cell: the height of the font, or its cell width for a tower, and
            the border of an inverse line.
    """

    __slots__ = (
        "_advances",
        "_bold",
        "_cell",
        "_columns",
        "_gap",
        "_line",
        "_wide",
        "font",
        "rows",
    )

    def __init__(self, font: Font, line: Line) -> None:
        self.font = font
        self._cell = font.cell_width() if line.fixed or line.tower else 0
        self._line = line
        self.rows = self._inner_rows + 2 * self.margin
        self._bold, self._wide = line.bold, line.wide
        self._gap = (font.spacing + line.spacing) * line.wide
        self._columns: dict[str, tuple[int, ...]] = {}
        self._advances: dict[str, int] = {}

    @property
    def trailing(self) -> int:
        """Strokes of an advance that the last character of a line does without."""
        return self._gap + self._wide - 1

    @property
    def capital_rows(self) -> int:
        """Rows of the line's capitals and digits; of a tower, those of its cell."""
        return self._cell if self._line.tower else self.font.rows_of("H0")

    @property
    def rows_below(self) -> int:
        """Rows of the line below its baseline: descenders, and a border; of a tower the border."""
        return self.margin + (0 if self._line.tower else self.font.descent)

    @property
    def margin(self) -> int:
        """Border of an inverse line: rows above and below, strokes before and after."""
        return 1 if self._line.inverse else 0

    @property
    def _inner_rows(self) -> int:
        return max(1, self._cell) if self._line.tower else self.font.height

    def advance(self, char: str) -> int:
        """Strokes from the start of a character to the start of the next; 0 if it is missing."""
        known = self._advances.get(char)
        if known is None:
            known = self._advances[char] = self._advance(char)
        return known

    def length(self, text: str) -> int:
        """Strokes of a whole line. Missing characters count for nothing."""
        strokes = sum(map(self.advance, text)) - self.trailing
        return max(0, strokes) + 2 * self.margin if text else 0

    def columns(self, char: str) -> tuple[int, ...]:
        """The strokes of a character with everything up to the next one; bit 0 is its low row.

        Raises:
            KeyError: the font does not carry the character.
        """
        known = self._columns.get(char)
        if known is None:
            known = self._columns[char] = self._set(char)
        return known

    def too_wide(self, text: Iterable[str]) -> tuple[str, ...]:
        """Characters of a tower that stick out of its rows, each once, in order."""
        if not self._line.tower:
            return ()
        glyphs = self.font.glyphs
        wide = (c for c in text if c in glyphs and glyphs[c].width > self._inner_rows)
        return tuple(dict.fromkeys(wide))

    def _advance(self, char: str) -> int:
        glyph = self.font.glyphs.get(char)
        if glyph is None:
            return 0
        strokes = self.font.height if self._line.tower else max(glyph.width, self._cell)
        return strokes * (self._bold + self._wide - 1) + self._gap

    def _set(self, char: str) -> tuple[int, ...]:
        strokes = self.font.glyphs[char].columns
        if self._line.fixed:
            strokes = centred(strokes, self._cell)
        if self._line.tower:
            strokes = turned_left(strokes, self.font.height)
        empty = (0,) * (self._wide - 1)
        spread = (c for s in strokes for c in (s << self.margin,) * self._bold + empty)
        return (*spread, *(0,) * self._gap)


def style_key(font: Font, line: Line) -> StyleKey:
    """What two lines must share to share a setter. Holds while ``font`` is alive."""
    return (id(font), *(getattr(line, name) for name in _set_by()))


@cache
def _set_by() -> tuple[str, ...]:
    """The attributes of a line that change the strokes of its characters."""
    return tuple(name for name, attribute in line_attributes().items() if attribute.sets)


def centred(columns: tuple[int, ...], width: int) -> tuple[int, ...]:
    """Strokes in the middle of ``width`` ones, the odd one to the right; wider ones as they are.

    >>> centred((7, 7), 5)
    (0, 7, 7, 0, 0)
    """
    spare = max(0, width - len(columns))
    left = spare // 2
    return (0,) * left + columns + (0,) * (spare - left)


def turned_left(columns: tuple[int, ...], rows: int) -> tuple[int, ...]:
    """A glyph of ``rows`` rows turned a quarter counter-clockwise, its left side on row 0.

    The top row becomes the first stroke.

    >>> turned_left((0b01, 0b10, 0b10), rows=2)  # a low drop, then two high ones
    (6, 1)
    """
    return tuple(
        sum((column >> row & 1) << x for x, column in enumerate(columns))
        for row in range(rows - 1, -1, -1)
    )

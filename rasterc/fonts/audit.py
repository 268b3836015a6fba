"""What a font lacks for a text, and which of its characters can be taken for one another."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

from rasterc.fonts.model import Font, Glyph

_SHIFT_ROWS = 1  # a reader has the neighbours' baseline to go by, so glyphs hardly move up or down
_SHIFT_COLUMNS = 2


@dataclass(frozen=True, slots=True)
class Pair:
    """Two characters and how far their drops are apart.

    Attributes:
        first, second: the characters, in code point order.
        differing: drops that only one of them prints, in the alignment where these are fewest.
        drops: drops both print together.
    """

    first: str
    second: str
    differing: int
    drops: int

    @property
    def share(self) -> float:
        """Differing drops as a share of all, from 0 (the same drops) to 1 (none in common)."""
        return self.differing / self.drops if self.drops else 0.0


@dataclass(frozen=True, slots=True)
class _Shape:
    """A glyph's drops as one number, columns one after another, to compare it in a few steps."""

    char: str
    bits: int
    width: int
    drops: int


def missing(font: Font, texts: Iterable[str]) -> tuple[str, ...]:
    """Characters of the texts the font does not carry, each once, in order."""
    return font.missing("".join(texts))


def look_alikes(font: Font, alphabet: str, at_most: int | None = None) -> tuple[Pair, ...]:
    """Pairs of characters of the alphabet, those with the fewest differing drops first.

    Glyphs are compared without the blank columns at their sides, in every alignment that shifts
    one against the other by up to two columns more than their widths differ and by one row up or
    down. Characters the font lacks, or that print nothing, are left out.

    Args:
        font: the font.
        alphabet: characters to compare with one another.
        at_most: leave out pairs with more differing drops than this; much faster when small.
    """
    glyphs = [font.glyphs[c] for c in sorted(set(alphabet)) if c in font.glyphs]
    stride = font.height + 2 * _SHIFT_ROWS
    shapes = [shape for glyph in glyphs if (shape := _shape(glyph, stride)).drops]
    limit = 1 << 62 if at_most is None else at_most
    pairs = []
    for a, b in combinations(shapes, 2):
        if abs(a.drops - b.drops) <= limit:  # at least this many drops differ
            differing = _differing(a, b, stride)
            if differing <= limit:
                pairs.append(Pair(a.char, b.char, differing, a.drops + b.drops))
    return tuple(sorted(pairs, key=lambda p: (p.differing, p.share, p.first, p.second)))


def _shape(glyph: Glyph, stride: int) -> _Shape:
    """The glyph from its first to its last inked column; each column has free rows at its ends."""
    inked = [x for x, column in enumerate(glyph.columns) if column]
    columns = glyph.columns[inked[0] : inked[-1] + 1] if inked else ()
    bits = 0
    for x, column in enumerate(columns):
        bits |= column << (x * stride + _SHIFT_ROWS)
    return _Shape(glyph.char, bits, len(columns), glyph.drops)


def _differing(a: _Shape, b: _Shape, stride: int) -> int:
    """Fewest drops that differ, over all alignments."""
    wide, narrow = (a, b) if a.width >= b.width else (b, a)
    spare = wide.width - narrow.width
    still = wide.bits << (_SHIFT_COLUMNS * stride)
    return min(
        (
            still
            ^ (
                narrow.bits << (columns * stride + rows)
                if rows >= 0
                else narrow.bits << (columns * stride) >> -rows
            )
        ).bit_count()
        for columns in range(spare + 2 * _SHIFT_COLUMNS + 1)
        for rows in range(-_SHIFT_ROWS, _SHIFT_ROWS + 1)
    )

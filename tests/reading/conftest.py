"""Fonts from art, and the demo fonts."""

from functools import cache
from types import SimpleNamespace

import pytest

from rasterc.fonts.load import load_font
from rasterc.fonts.model import Font, Glyph
from rasterc.resources import resource_dir


def font(name: str = "tiny", **art: str) -> Font:
    """A font from art: rows from the top down, "/" between them; `blank` is the blank."""
    glyphs = {}
    for key, rows in art.items():
        char = " " if key == "blank" else key
        columns = zip(*reversed(rows.split("/")), strict=True)
        strokes = tuple(sum((c == "#") << r for r, c in enumerate(col)) for col in columns)
        glyphs[char] = Glyph(char, strokes)
    height = len(next(iter(art.values())).split("/"))
    return Font(name, height, 0, 1, glyphs)


@cache
def demo(name: str) -> Font:
    return load_font(resource_dir("fonts-demo") / f"{name}.bdf").font


def drops(columns: tuple[int, ...]) -> frozenset[tuple[int, int]]:
    """Drops as (column, row), without blank columns on the left."""
    found = {(x, y) for x, c in enumerate(columns) for y in range(c.bit_length()) if c >> y & 1}
    left = min((x for x, _ in found), default=0)
    return frozenset((x - left, y) for x, y in found)


def alignments(own: frozenset, rival: frozenset) -> list[frozenset]:
    """The rival's drops in every alignment over the printed character, by the rule's words: moved
    by up to two columns more than the widths differ, and by one row up or down."""
    widths = [max((x for x, _ in shape), default=-1) + 1 for shape in (own, rival)]
    spare = widths[0] - widths[1]
    moves = range(min(0, spare) - 2, max(0, spare) + 3)
    return [frozenset((x + dx, y + dy) for x, y in rival) for dx in moves for dy in (-1, 0, 1)]


@pytest.fixture(scope="session")
def make() -> SimpleNamespace:
    """The builders above."""
    return SimpleNamespace(font=font, demo=demo, drops=drops, alignments=alignments)

"""The layout against a slow second one, written pixel by pixel from the language's description.

The reference works on pictures (lists of rows, top row first, as an eye reads them); it knows
neither bit patterns nor advances.
"""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.layout import compile_strokes, lay_out
from rasterc.source.message import Align

Rows = list[str]


@dataclass(frozen=True)
class Written:
    """A line as the test writes it."""

    text: str
    style: dict[str, object]


def spread(rows: Rows, bold: int, wide: int) -> Rows:
    return ["".join(pixel * bold + "." * (wide - 1) for pixel in row) for row in rows]


def beside(left: Rows, right: Rows) -> Rows:
    return [a + b for a, b in zip(left, right, strict=True)]


def turn_left(rows: Rows) -> Rows:
    """A picture turned counter-clockwise: its right column becomes the top row."""
    width = len(rows[0])
    return ["".join(row[x] for row in rows) for x in range(width - 1, -1, -1)]


def reference_glyph(rows: Rows, cell: int, style: dict[str, object]) -> Rows:
    spare = cell - len(rows[0])
    if style["fixed"] and spare > 0:
        rows = ["." * (spare // 2) + row + "." * (spare - spare // 2) for row in rows]
    if style["tower"]:
        height = len(rows)
        turned = turn_left(rows) if rows[0] else []
        rows = ["." * height] * (max(1, cell) - len(turned)) + turned
    return spread(rows, int(style["bold"]), int(style["wide"]))


def reference_line(line: Written, art: dict[str, Rows], spacing: int) -> Rows:
    style = line.style
    cell = max(len(rows[0]) for char, rows in art.items() if char.isalnum())
    wide = int(style["wide"])
    gap = (spacing + int(style["spacing"])) * wide
    height = max(1, cell) if style["tower"] else len(next(iter(art.values())))
    out = [""] * height
    for number, char in enumerate(line.text):
        if number:
            out = [row + "." * gap for row in out]
        out = beside(out, reference_glyph(art[char], cell, style))
    if len(out[0]) >= wide:
        out = [row[: len(row) - (wide - 1)] for row in out]
    if style["inverse"]:
        swap = str.maketrans("#.", ".#")
        border = "." * (len(out[0]) + 2)
        out = [border, *(f".{row}." for row in out), border]
        out = [row.translate(swap) if line.text else "" for row in out]
    return out


def reference_block(lines: list[Rows], aligns: list[Align], raster: int) -> Rows | None:
    width = max((len(rows[0]) for rows in lines), default=0)
    spare = raster - sum(map(len, lines))
    if spare < 0:
        return None
    gaps = [0] * max(1, len(lines) - 1)
    for turn in range(spare):
        gaps[turn % len(gaps)] += 1
    if len(lines) == 1:
        gaps, lines, aligns = [spare], [[], lines[0]], [Align.LEFT, aligns[0]]
    out: Rows = []
    for number, (rows, align) in enumerate(zip(lines, aligns, strict=True)):
        for row in rows:
            free = width - len(row)
            left = {Align.LEFT: 0, Align.RIGHT: free, Align.CENTER: free // 2}[align]
            out.append("." * left + row + "." * (free - left))
        if number < len(lines) - 1:
            out += ["." * width] * gaps[number]
    return out or ["." * width] * raster


@st.composite
def fonts(draw):
    height = draw(st.integers(1, 9))
    art = {}
    for char in "AB. ":
        width = draw(st.integers(0 if char in ". " else 1, 5))
        pixel_rows = st.text("#.", min_size=width, max_size=width)
        art[char] = [draw(pixel_rows) for _ in range(height)]
    return art, draw(st.integers(0, 2))


@st.composite
def written(draw, art):
    style = {
        "bold": draw(st.integers(1, 3)),
        "wide": draw(st.integers(1, 3)),
        "spacing": draw(st.integers(0, 2)),
        "fixed": draw(st.booleans()),
        "inverse": draw(st.booleans()),
        "tower": draw(st.booleans()),
        "align": draw(st.sampled_from(Align)),
    }
    cell = max(len(rows[0]) for char, rows in art.items() if char.isalnum())
    usable = [c for c, rows in art.items() if not style["tower"] or len(rows[0]) <= cell]
    return Written(draw(st.text(usable, max_size=6)), style)


@settings(max_examples=300, deadline=None)
@given(data=st.data(), raster=st.integers(5, 16), font=fonts())
def test_same_drops_as_the_reference(make, data, raster, font):
    art, spacing = font
    blocks = data.draw(st.lists(st.lists(written(art), max_size=3), min_size=1, max_size=3))
    gaps = data.draw(st.lists(st.integers(0, 4), min_size=len(blocks), max_size=len(blocks)))
    expected: Rows | None = [""] * raster
    for lines, gap in zip(blocks, gaps, strict=True):
        drawn = [reference_line(line, art, spacing) for line in lines]
        aligns = [line.style["align"] for line in lines]
        block = reference_block(drawn, aligns, raster)
        if expected is not None:
            expected = block and beside([row + "." * gap for row in expected], block)
    message = make.message(
        *(
            make.block(*(make.line(line.text, **line.style) for line in lines), gap=gap)
            for lines, gap in zip(blocks, gaps, strict=True)
        ),
        raster=raster,
    )
    tiny = {"tiny": make.font(art=art, spacing=spacing)}
    try:
        layout = lay_out(message, tiny)
    except InputError as error:
        assert expected is None
        assert {d.code for d in error.diagnostics} <= {"rows-too-few", "above-raster"}
    else:
        assert compile_strokes(layout).art().split("\n") == expected

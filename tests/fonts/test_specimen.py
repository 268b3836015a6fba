"""Specimens, read back drop by drop."""

import io

import pytest
from PIL import Image

from rasterc.diagnostics import InputError
from rasterc.fonts.model import Font, Glyph
from rasterc.output.fonts.specimen import (
    chosen_glyphs,
    specimen_png,
    specimen_text,
    text_art,
    text_columns,
    text_png,
)

FONT = Font(
    "small-3",
    2,
    1,
    1,
    {"B": Glyph("B", (7, 5)), "A": Glyph("A", (2, 6, 2)), "中": Glyph("中", (1,))},
)
PITCH = 8  # pixels from drop to drop


def test_terminal_specimen_wraps_at_the_width():
    text = specimen_text(FONT, chosen_glyphs(FONT, None), width=20)
    assert text.splitlines() == [
        "U+0041 A  U+0042 B",
        ".#.       ##",
        "###       #.",
        "...       ##",
        "",
        "U+4E2D",  # two cells wide in a terminal, so it would move what stands after it
        ".",
        ".",
        "#",
    ]


def test_text_is_set_with_the_spacing_between_characters_only():
    assert text_columns(FONT, "AB") == (2, 6, 2, 0, 7, 5)
    assert text_art(FONT, "AB") == ".#..##\n###.#.\n....##"
    assert text_art(FONT, "AB", width=4) == ".#..\n###.\n....\n\n##\n#.\n##"


def test_every_missing_character_is_named():
    for call in (lambda: chosen_glyphs(FONT, "AXY"), lambda: text_columns(FONT, "AXY")):
        with pytest.raises(InputError) as caught:
            call()
        assert [d.code for d in caught.value.diagnostics] == ["missing-character"] * 2
        assert "U+0058 X" in caught.value.diagnostics[0].message


def test_picture_of_a_text_has_a_dark_drop_where_a_drop_is_printed():
    image = Image.open(io.BytesIO(text_png(FONT, "AB"))).convert("L")
    columns = text_columns(FONT, "AB")
    left, top = 2 * PITCH, 2 * PITCH
    assert image.size == (2 * left + len(columns) * PITCH, 2 * top + FONT.height * PITCH)
    for x, column in enumerate(columns):
        for row in range(FONT.height):
            at = (left + x * PITCH + 4, top + (FONT.height - 1 - row) * PITCH + 4)
            assert (image.getpixel(at) < 60) == bool(column >> row & 1)


def test_sheet_holds_the_drops_of_every_glyph():
    """Ink is the only dark grey: its area is that of as many discs of 0.96 of the pitch."""
    image = Image.open(io.BytesIO(specimen_png(FONT, chosen_glyphs(FONT, None)))).convert("RGB")
    data = image.tobytes()
    ink = sum(
        (255 - r) / 235 for r, g, b in zip(data[::3], data[1::3], data[2::3], strict=True)
        if r == g == b and r < 200
    )  # fmt: skip
    drops = sum(glyph.drops for glyph in FONT.glyphs.values())
    assert ink == pytest.approx(drops * 3.1416 / 4 * (0.96 * PITCH) ** 2, rel=0.1)


def test_a_long_text_is_drawn_with_smaller_drops():
    image = Image.open(
        io.BytesIO(text_png(Font("f", 16, 0, 0, {"W": Glyph("W", (1,) * 200)}), "W" * 30))
    )
    assert image.size == (32 + 6000 * 5, 32 + 16 * 5)  # 3.4 of 4 million pixels; 6 would take 4.8


def test_too_large_pictures_and_texts_are_refused():
    wide = Font("wide", 64, 0, 0, {"W": Glyph("W", (1,) * 200)})
    with pytest.raises(InputError, match="strokes"):
        text_columns(wide, "W" * 200)
    with pytest.raises(InputError, match="pixels"):
        text_png(wide, "W" * 99)
    many = {chr(c): Glyph(chr(c), (1,) * 20) for c in range(0x4E00, 0x6E00)}
    font = Font("many", 16, 0, 0, many)
    with pytest.raises(InputError, match="pixels"):
        specimen_png(font, chosen_glyphs(font, None))

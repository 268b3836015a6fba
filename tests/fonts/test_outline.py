"""Outline fonts against Pillow, which draws with FreeType by another way."""

import random
import sys
from pathlib import Path

import pytest
from PIL import Image, ImageDraw, ImageFont

from rasterc.diagnostics import InputError
from rasterc.fonts.bitmap import FontHeader, assemble
from rasterc.fonts.outline import LATIN_1, FontError, draw, load_outline, open_face

pytest.importorskip("freetype", reason="the extra outline is not installed")
CANDIDATES = sorted(Path("/usr/share/fonts/truetype").glob("*/*Sans*.ttf"))
pytestmark = pytest.mark.skipif(not CANDIDATES, reason="no TrueType font is installed")


@pytest.fixture(scope="module")
def path():
    return CANDIDATES[0]


def pillow_drops(path, pixels, char):
    """Drops of a character drawn by Pillow in black and white, as the `drops` fixture gives."""
    font = ImageFont.truetype(str(path), pixels, layout_engine=ImageFont.Layout.BASIC)
    image = Image.new("1", (4 * pixels, 4 * pixels))
    pen = ImageDraw.Draw(image)
    pen.fontmode = "1"
    origin, baseline = pixels, 2 * pixels
    pen.text((origin, baseline), char, fill=1, font=font, anchor="ls")
    found = {
        (x - origin, baseline - 1 - y)
        for x in range(image.width)
        for y in range(image.height)
        if image.getpixel((x, y))
    }
    shift = -min([0, *(x for x, _ in found)])
    return {(x + shift, y) for x, y in found}


@pytest.mark.parametrize("pixels", [9, 12, 16])
def test_letters_are_as_pillow_draws_them(path, pixels, drops):
    # No accented letters: FreeType's releases differ in placing parts of a glyph by a row.
    chars = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789!%&.,:/-"
    bitmaps = draw(open_face(path), pixels, chars)
    font = assemble(FontHeader("any", 0, 0, None, "any"), bitmaps).font
    for char in chars:
        assert drops(font, char) == pillow_drops(path, pixels, char), char


@pytest.mark.parametrize("height", [9, 12, 16])
def test_all_characters_fit_the_height_asked_for(path, height):
    file = load_outline(path, "any", height)
    assert file.font.height == height
    assert set(file.font.glyphs) <= set(LATIN_1)
    assert len(file.font.glyphs) > 180


def test_a_height_too_small_for_the_characters_is_refused(path):
    with pytest.raises(InputError, match="fit 4 rows"):
        load_outline(path, "any", 4)
    assert load_outline(path, "any", 5, "0123456789").font.height == 5


def test_fewer_characters_are_drawn_larger(path):
    capitals = load_outline(path, "any", 9, "AHX0").font
    assert capitals.rows_of("H") == 9
    assert load_outline(path, "any", 9).font.rows_of("H") < 9
    assert list(capitals.glyphs) == ["A", "H", "X", "0"]


def test_characters_asked_for_must_be_there(path):
    with pytest.raises(InputError, match=r"U\+E123"):
        load_outline(path, "any", 9, "A\ue123")


@pytest.mark.parametrize("height", [0, 3, 1000])
def test_a_height_out_of_range_is_refused(path, height):
    with pytest.raises(InputError, match=str(height)):
        load_outline(path, "any", height)


def test_more_characters_than_can_be_tried_are_refused(path):
    with pytest.raises(InputError, match="the limit is 2,000"):
        load_outline(path, "any", 9, "".join(map(chr, range(0x100, 0x1000))))


def test_a_file_that_is_no_font_is_refused(tmp_path):
    (tmp_path / "a.ttf").write_bytes(b"no font at all")
    with pytest.raises(InputError, match="is not a font"):
        load_outline(tmp_path / "a.ttf", "any", 9)


def test_without_freetype_the_extra_is_named(path, monkeypatch):
    monkeypatch.setitem(sys.modules, "freetype", None)
    with pytest.raises(InputError) as caught:
        load_outline(path, "any", 9)
    assert "rasterc[outline]" in caught.value.diagnostics[0].help


def test_a_damaged_outline_font_gives_dots_or_a_diagnostic(path, tmp_path):
    good, rng = path.read_bytes(), random.Random(7)
    for turn in range(60):
        data = bytearray(good)
        for _ in range(rng.choice((1, 20, 2_000))):
            data[rng.randrange(len(data))] = rng.randrange(256)
        (tmp_path / "a.ttf").write_bytes(data[: rng.choice((len(data), rng.randrange(len(data))))])
        try:
            assert load_outline(tmp_path / "a.ttf", "any", 9, "A0g").font.glyphs
        except InputError as error:
            assert error.diagnostics[0].message, turn


def test_a_glyph_that_would_fill_the_memory_is_refused(path):
    face = open_face(path)
    with pytest.raises(FontError, match="pixels large"):
        draw(face, 20_000, "A")

"""The fonts that come with rasterc: complete, inside their cells, and hard to misread."""

import pytest

from rasterc.fonts.audit import look_alikes
from rasterc.fonts.load import load_font
from rasterc.output.fonts.specimen import chosen_glyphs, specimen_png
from rasterc.resources import resource_dir

CODES = " 0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ.,:;/-+()#%*&'\"=°€"
ASCII_CAPITALS = "".join(c for c in map(chr, range(0x20, 0x7F)) if not c.islower()) + "°€"
LATIN = (
    "".join(map(chr, range(0x20, 0x7F)))
    + "ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÐÑÒÓÔÕÖØÙÚÛÜÝÞß"
    + "àáâãäåæçèéêëìíîïðñòóôõöøùúûüýþÿ"
    + "ĄąĆćĘęŁłŃńŚśŹźŻżČčĎďĚěŇňŘřŠšŤťŮůŽžĞğİıŞşŒœŐőŰűŸ"
    + "°€£§µ×÷±·–²³½№«»¿¡…"
)
GREEK_CAPITALS = "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩΪΫΆΈΉΊΌΎΏ"
CYRILLIC_CAPITALS = "АБВГДЕЁЖЗИЙКЛМНОПРСТУФХЦЧШЩЪЫЬЭЮЯ"
REQUIRED = {
    "upright-5": ASCII_CAPITALS,
    "upright-7": LATIN,
    "upright-9": LATIN + GREEK_CAPITALS + CYRILLIC_CAPITALS,
    "upright-12": LATIN,
    "upright-16": LATIN + GREEK_CAPITALS + CYRILLIC_CAPITALS,
}
# Pairs whose mix-up makes another date or lot out of a code. Common practice, no source.
CONFUSABLE = ["0O", "1I", "1l", "Il", "5S", "8B", "2Z"]
LEAST_DIFFERENCE = 2  # drops, so that one lost drop never turns one into the other
PATHS = sorted(resource_dir("fonts-demo").glob("*.bdf"))


@pytest.fixture(params=PATHS, ids=[path.stem for path in PATHS])
def font(request):
    return load_font(request.param).font


def test_the_fonts_the_tests_are_about_are_there():
    assert set(REQUIRED) <= {path.stem for path in PATHS}


def test_it_reads_without_a_note_and_its_name_tells_its_height():
    for path in PATHS:
        file = load_font(path)
        assert file.notes == ()
        assert file.font.height == int(path.stem.rpartition("-")[2])


def test_every_character_promised_is_there(font):
    assert font.missing(REQUIRED.get(font.name, CODES)) == ()


def test_drops_stay_inside_the_cell(font):
    for glyph in font.glyphs.values():
        assert glyph.columns, f"U+{ord(glyph.char):04X} has no strokes"
        assert max(glyph.columns).bit_length() <= font.height


def test_digits_are_of_one_width_and_height(font):
    digits = [font.glyphs[digit] for digit in "0123456789"]
    assert len({glyph.width for glyph in digits}) == 1
    assert {font.rows_of(digit) for digit in "0123456789"} == {font.rows_of("H")}


@pytest.mark.parametrize("pair", CONFUSABLE)
def test_confusable_characters_differ_by_more_than_one_drop(font, pair):
    if font.missing(pair):
        pytest.skip(f"{font.name} has no {pair}")
    [found] = look_alikes(font, pair)
    assert found.differing >= LEAST_DIFFERENCE


def test_no_digit_or_letter_is_a_drop_away_from_another(font):
    alphabet = "".join(c for c in font.glyphs if c.isascii() and c.isalnum())
    assert look_alikes(font, alphabet, at_most=LEAST_DIFFERENCE - 1) == ()


def test_only_a_space_prints_nothing(font):
    empty = {char for char, glyph in font.glyphs.items() if not glyph.drops}
    assert empty <= {" ", "\u00a0", "\u202f"}


def test_its_specimen_sheet_fits_into_a_picture(font):
    assert specimen_png(font, chosen_glyphs(font, None)).startswith(b"\x89PNG")

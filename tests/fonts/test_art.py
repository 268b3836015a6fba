"""Glyph art: our own format, so its rules are those of rasterc.fonts.art."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.diagnostics import InputError, SourceText
from rasterc.fonts.art import format_art, parse_art

GOOD = """\
# a font of two glyphs
font small-3
descent 1
spacing 1
ascent 2

glyph U+0041 LATIN CAPITAL LETTER A
.#.
# a comment between rows
###
...
glyph U+007C
#
#
#
"""


def faults_of(text):
    with pytest.raises(InputError) as caught:
        parse_art(SourceText("small.txt", text))
    return [(d.code, d.span.line if d.span else None) for d in caught.value.diagnostics]


def test_columns_run_from_left_to_right_and_bits_from_the_bottom():
    font = parse_art(SourceText("small.txt", GOOD))
    assert (font.name, font.ascent, font.descent, font.spacing) == ("small-3", 2, 1, 1)
    assert font.glyphs["A"].columns == (0b010, 0b110, 0b010)
    assert font.glyphs["|"].columns == (0b111,)
    assert font.origin == "small.txt"


def test_windows_line_ends_and_blanks_at_line_ends_are_read():
    text = GOOD.replace("\n", "  \r\n")
    assert parse_art(SourceText("small.txt", text)) == parse_art(SourceText("small.txt", GOOD))


@pytest.mark.parametrize(
    ("change", "faults"),
    [
        (("ascent 2", "ascend 2"), [("missing-key", None), ("unknown-key", 5)]),
        (("spacing 1", "spacing x"), [("bad-number", 4)]),
        (("spacing 1", "spacing 99999"), [("bad-number", 4)]),
        (("spacing 1", "spacing 1\nspacing 1"), [("duplicate-key", 5)]),
        (("font small-3\n", ""), [("missing-key", None)]),
        (("font small-3", "font small 3"), [("bad-font-name", 2)]),
        (("U+007C", "U+0041"), [("duplicate-glyph", 12)]),
        (("U+007C", "7C"), [("bad-code-point", 12)]),
        (("U+007C", ""), [("bad-code-point", 12)]),
        (("U+007C", "U+110000"), [("bad-code-point", 12)]),
        (("U+007C", "U+D800"), [("bad-code-point", 12)]),
        (("U+007C", "U+0009"), [("bad-code-point", 12)]),
        ((".#.", ".#"), [("uneven-rows", 10), ("uneven-rows", 11)]),
        ((".#.", ".o."), [("bad-row", 8)]),
        (("###\n", ""), [("bad-row-count", 7)]),
        (("#\n#\n#\n", ""), [("bad-row-count", 12)]),
        (("ascent 2", "ascent 0"), [("bad-row-count", 7), ("bad-row-count", 12)]),
    ],
)
def test_every_fault_is_reported_at_its_line(change, faults):
    assert change[0] in GOOD
    assert faults_of(GOOD.replace(*change, 1)) == faults


def test_all_faults_of_a_file_are_reported_together():
    text = GOOD.replace("spacing 1", "spacing -1").replace("###", "#-#").replace("U+007C", "U+x")
    assert faults_of(text) == [("bad-number", 4), ("bad-row", 10), ("bad-code-point", 12)]


def test_a_file_of_nothing_but_faults_is_not_reported_without_end():
    found = faults_of(GOOD + "no row\n" * 500)
    assert len(found) == 51
    assert found[-1][0] == "more-faults"


def test_a_glyph_without_columns_cannot_be_written(fonts):
    from rasterc.fonts.model import Font, Glyph

    font = Font("f", 1, 0, 0, {"A": Glyph("A", ())})
    with pytest.raises(InputError, match=r"U\+0041"):
        format_art(font)


@given(st.data())
def test_what_is_written_is_read_back_equal(fonts, data):
    font = data.draw(fonts(min_width=1))
    text = format_art(font)
    assert parse_art(SourceText(font.origin, text)) == font
    assert format_art(font) == text

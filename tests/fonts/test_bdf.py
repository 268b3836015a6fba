"""BDF against the format's description (Adobe technical note 5005), Pillow and FreeType."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL.BdfFontFile import BdfFontFile

from rasterc.diagnostics import InputError, SourceText
from rasterc.fonts.bdf import parse_bdf
from rasterc.fonts.bdf_write import format_bdf
from rasterc.fonts.model import Font, Glyph

# After the worked example of note 5005, from memory: "j" begins left of its origin and descends,
# the quote hangs high. Comments and blank lines are allowed anywhere.
EXAMPLE = """\
STARTFONT 2.1
COMMENT This is a sample font in 2.1 format.
FONT -Any-Sans-Bold-R-Normal--24-240-75-75-P-65-ISO8859-1
SIZE 24 75 75
FONTBOUNDINGBOX 9 24 -2 -6
STARTPROPERTIES 3
FONT_ASCENT 18
COPYRIGHT "He said ""copy""."
FONT_DESCENT 6
ENDPROPERTIES
CHARS 2
STARTCHAR j
ENCODING 106
SWIDTH 355 0
DWIDTH 8 0
BBX 9 22 -2 -6
BITMAP
0380
0380
0380
0380
0000
0700
0700
0700
0700
0E00
0E00
0E00
0E00
0E00
1C00
1C00
1C00
1C00
2C00
7800
F000
E000
ENDCHAR
STARTCHAR quoteright
ENCODING 39
SWIDTH 223 0
DWIDTH 5 0
BBX 4 6 2 12
BITMAP
70
70
70
60
E0
C0
ENDCHAR
ENDFONT
"""

TINY = """\
STARTFONT 2.1
FONT tiny
SIZE 3 72 72
FONTBOUNDINGBOX 3 3 0 0
STARTPROPERTIES 2
CHARSET_REGISTRY "ISO10646"
CHARSET_ENCODING "1"
ENDPROPERTIES
CHARS 1
STARTCHAR A
ENCODING 65
SWIDTH 1000 0
DWIDTH 4 0
BBX 3 3 0 0
BITMAP
40
A0
E0
ENDCHAR
ENDFONT
"""
TINY_A = (0b011, 0b101, 0b011)


def read(text, charset=None):
    return parse_bdf(SourceText("tiny.bdf", text), "tiny", charset)


def faults_of(text):
    with pytest.raises(InputError) as caught:
        read(text)
    return [
        (d.code, d.span.line if d.span else None) for d in caught.value.diagnostics
    ], caught.value


def with_line(old, new, text=TINY):
    assert f"{old}\n" in text
    return text.replace(f"{old}\n", f"{new}\n", 1)


def test_worked_example_as_freetype_draws_it(freetype_face, freetype_drops, drops):
    font = read(EXAMPLE).font
    face = freetype_face(EXAMPLE.encode())
    assert (font.ascent, font.descent) == (18, 6)
    for char in "j'":
        assert drops(font, char) == freetype_drops(face, char)[0]
    # j has two columns left of its origin, so it takes two more than its advance of 8.
    assert font.glyphs["j"].width + font.spacing == 10


def test_spacing_is_the_blank_all_glyphs_share_when_the_file_does_not_say():
    font = read(TINY).font
    assert font.spacing == 1
    assert font.glyphs["A"].columns == TINY_A
    stated = with_line("ENDPROPERTIES", "RASTERC_SPACING 0\nENDPROPERTIES")
    assert read(stated).font.glyphs["A"].columns == (*TINY_A, 0)


@pytest.mark.parametrize(
    "text",
    [
        TINY.replace("\n", "\r\n"),
        TINY.replace("\n", "\r"),
        TINY.replace("\n", " \t\n"),
        TINY.replace("\n", "\n\n", 8),
        with_line("STARTFONT 2.1", "COMMENT before\nSTARTFONT 2.1\nCOMMENT"),
        with_line("ENDCHAR", "ENDCHAR\nCOMMENT a comment"),
        with_line("ENCODING 65", "COMMENT here too\nENCODING -1 65"),
        with_line("ENDFONT", "ENDFONT\nwhatever comes after"),
        with_line("40", "4"),  # a short row is unambiguous as long as it covers the width
        with_line("40", "400000"),
        with_line("E0", "e0"),
        with_line("DWIDTH 4 0", "COMMENT", with_line("FONT tiny", "DWIDTH 4 0\nFONT tiny")),
    ],
)
def test_spelling_that_changes_nothing(text):
    assert read(text).font.glyphs["A"].columns == TINY_A


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        ("", [("not-bdf", None)]),
        ("font x\n", [("not-bdf", 1)]),
        (with_line("ENCODING 65", "COMMENT"), [("bad-glyph", 10)]),
        (with_line("ENCODING 65", "ENCODING A"), [("bad-glyph", 11)]),
        (with_line("DWIDTH 4 0", "COMMENT"), [("bad-glyph", 10)]),
        (with_line("BBX 3 3 0 0", "BBX 3 3 0"), [("bad-glyph", 14)]),
        (with_line("BBX 3 3 0 0", "BBX 3 9999 0 0"), [("bad-glyph", 14)]),
        (with_line("BBX 3 3 0 0", "BBX 3 -3 0 0"), [("bad-glyph", 14)]),
        (with_line("BBX 3 3 0 0", "BBX 3 4 0 0"), [("bad-glyph", 19)]),
        (with_line("BBX 3 3 0 0", "BBX 3 2 0 0"), [("bad-glyph", 18)]),
        (with_line("BBX 3 3 0 0", "BBX 5 3 0 0").replace("40", "4"), [("bad-glyph", 16)]),
        (with_line("A0", "G0"), [("bad-glyph", 17)]),
        (with_line("A0", "0x"), [("bad-glyph", 17)]),
        (with_line("BITMAP", "BITMAPS"), [("bad-glyph", 10)]),
        (with_line("ENDCHAR", "ENDCHAR\nSTARTCAR B"), [("bad-glyph", 20)]),
        (TINY.replace("ENDCHAR\nENDFONT\n", ""), [("bad-glyph", 19)]),
        (TINY.replace("ENDFONT\n", ""), [("file-cut-short", 20)]),
        (with_line('CHARSET_REGISTRY "ISO10646"', 'CHARSET_REGISTRY "JISX0208"'),
         [("unknown-charset", 6)]),
        (with_line("ENDPROPERTIES", "FONT_ASCENT tall\nENDPROPERTIES"), [("bad-property", 8)]),
    ],
)  # fmt: skip
def test_every_fault_is_reported_at_its_line(text, faults):
    assert faults_of(text)[0] == faults


def test_all_faults_of_a_file_are_reported_together():
    glyph = TINY[TINY.index("STARTCHAR") : TINY.index("ENDFONT")]
    text = TINY.replace("ENDFONT", glyph.replace("DWIDTH", "WIDTH") + "ENDFONT").replace("A0", "*0")
    found, error = faults_of(text)
    assert [line for _, line in found] == [17, 20]  # one for each glyph
    assert 'glyph "A"' in error.diagnostics[0].message


@pytest.mark.parametrize(
    ("charset", "code", "char"),
    [
        (("ISO10646", "1"), 0x141, "Ł"),
        (("ISO8859", "1"), 0xE9, "é"),
        (("ISO8859", "2"), 0xA3, "Ł"),
        (("iso8859", "5"), 0xB6, "Ж"),
        (("ISO8859", "15"), 0xA4, "€"),
        (("KOI8", "R"), 0xF6, "Ж"),
        (("Microsoft", "CP1252"), 0x80, "€"),
    ],
)
def test_codes_are_read_in_the_charset_of_the_file(charset, code, char):
    """Values of Python's codecs, which follow the mapping tables of the Unicode consortium."""
    text = with_line("ENCODING 65", f"ENCODING {code}")
    text = text.replace('"ISO10646"', f'"{charset[0]}"').replace('"1"', f'"{charset[1]}"')
    assert list(read(text).font.glyphs) == [char]


def test_the_x_name_tells_the_charset_when_no_property_does():
    text = with_line("FONT tiny", "FONT -a-b-m-r-n--3-30-72-72-c-40-iso8859-2")
    text = text.replace("CHARSET", "OTHER").replace("ENCODING 65", "ENCODING 163")
    assert list(read(text).font.glyphs) == ["Ł"]


def test_the_user_can_tell_the_charset():
    text = TINY.replace('"ISO10646"', '"FontSpecific"')
    assert faults_of(text)[0] == [("unknown-charset", 6)]
    assert list(read(text, "unicode").font.glyphs) == ["A"]


def test_what_is_left_out_is_said():
    def glyph(code, advance=4):
        text = TINY[TINY.index("STARTCHAR") : TINY.index("ENDFONT")]
        return text.replace("ING 65", f"ING {code}").replace("DWIDTH 4", f"DWIDTH {advance}")

    more = glyph(-1) + glyph(7) + glyph(65) + glyph(0x301, advance=0)
    file = read(TINY.replace("ENDFONT", more + "ENDFONT"))
    assert list(file.font.glyphs) == ["A"]
    assert file.font.spacing == 1
    said = " ".join(note.message + note.help for note in file.notes)
    for part in ("CHARS announces 1", "1 glyphs without", "U+0007", "U+0041", "U+0301"):
        assert part in said


def test_a_glyph_that_sticks_out_of_the_cell_makes_it_taller(drops):
    text = with_line("BBX 3 3 0 0", "BBX 3 3 0 -2")
    file = read(text.replace("ENDPROP", "FONT_ASCENT 2\nFONT_DESCENT 1\nENDPROP"))
    assert (file.font.ascent, file.font.descent) == (2, 2)
    assert min(y for _, y in drops(file.font, "A")) == -2
    assert "4 rows instead of 3" in file.notes[-1].message


@given(st.data())
def test_what_is_written_is_read_back_equal(fonts, data):
    font = data.draw(fonts())
    source = SourceText(font.origin, format_bdf(font))
    file = parse_bdf(source, font.name)
    assert file.font == font
    assert file.notes == ()


@given(st.data())
def test_pillow_reads_what_is_written(fonts, data):
    """Pillow keeps codes below 256."""
    font = data.draw(fonts(st.characters(min_codepoint=32, max_codepoint=255,
                                         exclude_categories=["Cc"]), 1))  # fmt: skip
    read_back = BdfFontFile(io.BytesIO(format_bdf(font).encode()))
    for char, glyph in font.glyphs.items():
        (advance, _), _, _, image = read_back.glyph[ord(char)]
        assert advance == glyph.width + font.spacing
        assert image.size == (glyph.width, font.height)
        columns = tuple(
            sum(
                bool(image.getpixel((x, font.height - 1 - row))) << row
                for row in range(font.height)
            )
            for x in range(glyph.width)
        )
        assert columns == glyph.columns


@given(st.data())
def test_freetype_reads_what_is_written(fonts, freetype_face, freetype_drops, drops, data):
    font = data.draw(fonts(min_width=1))
    face = freetype_face(format_bdf(font).encode())
    for char, glyph in font.glyphs.items():
        found, advance = freetype_drops(face, char)
        assert found == drops(font, char)
        assert advance == glyph.width + font.spacing


def test_written_header_names_font_and_charset():
    text = format_bdf(Font("tall-16", 12, 4, 2, {"A": Glyph("A", (1, 2))}))
    assert "FONT -Rasterc-tall 16-Medium-R-Normal--16-160-72-72-C-40-ISO10646-1" in text
    for line in ("FONT_ASCENT 12", "FONT_DESCENT 4", 'CHARSET_REGISTRY "ISO10646"',
                 'CHARSET_ENCODING "1"', "DEFAULT_CHAR 65", "RASTERC_SPACING 2",
                 "STARTCHAR LATIN_CAPITAL_LETTER_A"):  # fmt: skip
        assert line in text.splitlines()
    announced = int(text.split("STARTPROPERTIES ")[1].split()[0])
    inside = text[text.index("STARTPROPERTIES") : text.index("ENDPROPERTIES")]
    assert len(inside.splitlines()) - 1 == announced

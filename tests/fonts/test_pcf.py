"""PCF fonts of X (Debian package xfonts-base) against FreeType, and BDF made of them (pcf2bdf)."""

import gzip
import shutil
import struct
import subprocess
import time
from pathlib import Path

import pytest

from rasterc.diagnostics import InputError, SourceText
from rasterc.fonts.bdf import parse_bdf
from rasterc.fonts.load import load_font
from rasterc.fonts.pcf import parse_pcf

X_FONTS = Path("/usr/share/fonts/X11/misc")
# Fixed and slanted, one and two bytes a character, glyphs left of the origin and out of the cell.
NAMES = ["4x6-ISO8859-1", "5x8-ISO8859-2", "6x10-ISO8859-7", "6x13-KOI8-R", "7x13O-ISO8859-15",
         "9x15B-ISO8859-8", "clB8x13", "clR6x12-ISO8859-4", "5x7", "micro"]  # fmt: skip


@pytest.fixture(params=NAMES)
def x_font(request):
    path = X_FONTS / f"{request.param}.pcf.gz"
    if not path.exists():
        pytest.skip("Debian package xfonts-base is not installed")
    return path


def test_every_glyph_is_as_freetype_draws_it(x_font, freetype_face, freetype_drops, drops):
    font = load_font(x_font).font
    face = freetype_face(gzip.decompress(x_font.read_bytes()))
    face.set_charmap(face.charmaps[0])  # FreeType knows no character sets: codes are the font's
    codec = x_font.name.partition("-")[2].removesuffix(".pcf.gz") or None
    compared = 0
    for char, glyph in font.glyphs.items():
        code = char.encode(codec)[0] if codec else ord(char)
        found, advance = freetype_drops(face, code)
        assert drops(font, char) == found, f"U+{ord(char):04X}"
        assert glyph.width + font.spacing >= advance
        compared += bool(face.get_char_index(code))
    assert compared >= len(font.glyphs) - 1  # FreeType's index 0 may be a character
    metrics = face.size
    assert font.ascent >= metrics.ascender >> 6
    assert font.descent >= -metrics.descender >> 6


@pytest.mark.skipif(shutil.which("pcf2bdf") is None, reason="Debian package pcf2bdf is missing")
def test_bdf_of_another_program_gives_the_same_font(x_font):
    run = subprocess.run(["pcf2bdf", x_font], capture_output=True, check=True)
    from_bdf = parse_bdf(SourceText(str(x_font), run.stdout.decode("latin-1")), x_font.name[:-7])
    assert from_bdf.font == load_font(x_font).font


def test_a_font_of_two_bytes_a_character_is_refused():
    path = X_FONTS / "jiskan16.pcf.gz"
    if not path.exists():
        pytest.skip("Debian package xfonts-base is not installed")
    with pytest.raises(InputError, match="JISX0208"):
        load_font(path)


def small_pcf(order="<", bit_order_high=True, pad=1, unit=1, shared=0):
    """A PCF font of one glyph "A" two columns wide, built table by table in any byte order.

    Or, with ``shared``, of 65,536 codes that all have one blank glyph of so many rows and columns.
    """
    form = (4 if order == ">" else 0) | (8 if bit_order_high else 0) | {1: 0, 2: 1, 4: 2}[pad]
    form |= {1: 0, 2: 1, 4: 2}[unit] << 4
    texts = b"CHARSET_REGISTRY\0ISO10646\0CHARSET_ENCODING\x001\0"
    places = [(0, 17), (26, 43)]
    entries = b"".join(struct.pack(order + "ibi", key, 1, value) for key, value in places)
    padding = b"\0" * (-2 % 4)
    properties = struct.pack(order + "i", 2) + entries + padding
    properties += struct.pack(order + "i", len(texts)) + texts
    size = (0, shared, shared, shared, 0, 0) if shared else (0, 2, 3, 3, 0, 0)
    bounds = struct.pack(order + "5hH", *size)
    accelerators = bytes(8) + struct.pack(order + "3i", 3, 0, 0) + bounds + bounds
    metrics = struct.pack(order + "i", 1) + bounds
    rows = [bytes([row]) + bytes(pad - 1) for row in (0b01000000, 0b11000000, 0b10000000)]
    drawn = bytes(shared * shared) if shared else b"".join(rows)
    if not bit_order_high:
        drawn = bytes(int(f"{byte:08b}"[::-1], 2) for byte in drawn)
    if unit > 1 and (order == ">") != bit_order_high:
        drawn = b"".join(drawn[i : i + unit][::-1] for i in range(0, len(drawn), unit))
    sizes = [(len(drawn) if shared else 3) * size for size in (1, 2, 4, 8)]
    bitmaps = struct.pack(order + "ii4i", 1, 0, *sizes) + drawn
    codes = struct.pack(order + "5hH", 65, 65, 0, 0, 65, 0)
    if shared:
        codes = struct.pack(order + "5h", 0, 255, 0, 255, 0) + bytes(2 * 65_536)
    tables = {1: properties, 2: accelerators, 4: metrics, 8: bitmaps, 32: codes}
    head, body = b"\x01fcp" + struct.pack("<i", len(tables)), b""
    start = len(head) + 16 * len(tables)
    for kind, content in tables.items():
        data = struct.pack("<i", form) + content
        head += struct.pack("<4i", kind, form, len(data), start + len(body))
        body += data + bytes(-len(data) % 4)
    return head + body


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("bit_order_high", [True, False])
@pytest.mark.parametrize(("pad", "unit"), [(1, 1), (2, 1), (2, 2), (4, 1), (4, 4)])
def test_every_order_of_bytes_and_bits(
    order, bit_order_high, pad, unit, freetype_face, freetype_drops, drops
):
    data = small_pcf(order, bit_order_high, pad, unit)
    font = parse_pcf(data, "small", "small.pcf").font
    assert font.glyphs["A"].columns == (0b011, 0b110)
    assert font.spacing == 1
    assert freetype_drops(freetype_face(data), "A")[0] == drops(font, "A")


def test_codes_that_share_one_large_glyph_are_counted_before_they_are_drawn():
    start = time.process_time()
    with pytest.raises(InputError) as caught:
        parse_pcf(small_pcf(shared=256), "large", "large.pcf")
    assert [d.code for d in caught.value.diagnostics] == ["font-too-large"]
    assert time.process_time() - start < 5
    assert len(parse_pcf(small_pcf(shared=8), "wide", "wide.pcf").font.glyphs) > 60_000


def test_any_cut_or_changed_byte_gives_a_font_or_an_error_of_the_user():
    data = small_pcf()
    for end in range(len(data)):
        with pytest.raises(InputError):
            parse_pcf(data[:end], "small", "small.pcf")
    for at in range(len(data)):
        for value in (0x00, 0x7F, 0xFF):
            try:
                parse_pcf(data[:at] + bytes([value]) + data[at + 1 :], "small", "small.pcf")
            except InputError as error:
                assert error.diagnostics

"""Reading font files from disk."""

import gzip

import pytest

from rasterc.diagnostics import InputError
from rasterc.fonts import load
from rasterc.fonts.bdf_write import format_bdf
from rasterc.fonts.load import load_font
from rasterc.fonts.model import Font, Glyph

FONT = Font("line-2", 2, 0, 1, {"A": Glyph("A", (1, 3, 1)), " ": Glyph(" ", (0, 0))})


def code_of(path):
    with pytest.raises(InputError) as caught:
        load_font(path)
    (diagnostic,) = caught.value.diagnostics
    return diagnostic.code


@pytest.mark.parametrize("name", ["line-2.bdf", "line-2.BDF", "line-2.bdf.gz"])
def test_a_font_is_called_as_its_file(tmp_path, name):
    data = format_bdf(FONT).encode()
    path = tmp_path / name
    path.write_bytes(gzip.compress(data) if name.endswith(".gz") else data)
    font = load_font(path).font
    assert (font.name, font.glyphs, font.origin) == ("line-2", FONT.glyphs, str(path))


def test_files_that_are_no_fonts(tmp_path):
    for name, data, code in [
        ("a.bdf.gz", b"not gzip", "damaged-font"),
        ("b.bdf.gz", gzip.compress(format_bdf(FONT).encode())[:-20], "damaged-font"),
        ("c.bdf", b"\xff\xfe\x00", "not-bdf"),
        ("d.pcf", b"STARTFONT", "not-pcf"),
        ("e.exe", b"", "unknown-font-format"),
        ("plain", b"", "unknown-font-format"),
        ("f.ttf", b"", "outline-font"),
    ]:
        (tmp_path / name).write_bytes(data)
        assert code_of(tmp_path / name) == code, name
    (tmp_path / "folder.bdf").mkdir()
    assert code_of(tmp_path / "folder.bdf") == "not-a-file"
    assert code_of(tmp_path / "nothing.bdf") == "cannot-read"


def test_a_small_file_that_unpacks_to_a_huge_one_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(load, "MAX_FONT_BYTES", 1000)
    path = tmp_path / "bomb.bdf.gz"
    path.write_bytes(gzip.compress(bytes(100_000)))
    assert code_of(path) == "too-large"

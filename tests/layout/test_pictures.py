"""Pictures: read as drawn, and refused with a remedy when they cannot be printed."""

from __future__ import annotations

import os
import struct
import warnings
import zlib

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from rasterc.diagnostics import InputError
from rasterc.layout import Composer, compile_strokes, lay_out

ARROW = ["..#..", ".###.", "#.#.#", "..#..", "..#.."]


def image(art: list[str], mode: str = "1") -> Image.Image:
    picture = Image.new("1", (len(art[0]), len(art)), 1)
    for y, row in enumerate(art):
        for x, pixel in enumerate(row):
            picture.putpixel((x, y), int(pixel == "."))
    return picture.convert(mode)


@pytest.fixture
def drawn(make, tmp_path):
    def draw(path, raster=5, composer=None, **options) -> list[str]:
        message = make.message(make.picture(path, **options), raster=raster, folder=tmp_path)
        return compile_strokes(lay_out(message, {}, composer)).art().split("\n")

    return draw


@pytest.fixture
def fault(drawn):
    def found(path, **options):
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with pytest.raises(InputError) as raised:
                drawn(path, **options)
        (diagnostic,) = raised.value.diagnostics
        assert diagnostic.help
        assert diagnostic.span is not None
        assert diagnostic.span.text.startswith("picture")
        return diagnostic

    return found


@pytest.mark.parametrize("name", ["arrow.png", "arrow.pbm"])
def test_dark_pixels_are_drops(drawn, tmp_path, name):
    image(ARROW).save(tmp_path / name)
    assert drawn(name) == ARROW
    assert drawn(name, inverse=True) == [r.translate(str.maketrans("#.", ".#")) for r in ARROW]
    assert drawn(name, raster=7, row=1) == [".....", *ARROW, "....."]


def test_plain_pbm_by_hand(drawn, tmp_path):
    # Netpbm's plain PBM: "P1", width, height, 1 is black.
    (tmp_path / "a.pbm").write_text("P1\n# a comment\n3 2\n1 0 0\n0 1 1\n")
    assert drawn("a.pbm", raster=5) == ["...", "...", "...", "#..", ".##"]


def test_a_black_and_white_palette_is_as_good(drawn, tmp_path):
    image(ARROW, "P").save(tmp_path / "p.png")
    assert drawn("p.png") == ARROW


def test_a_picture_in_a_folder_below(drawn, tmp_path):
    (tmp_path / "art").mkdir()
    image(ARROW).save(tmp_path / "art" / "a.png")
    assert drawn("art/a.png") == ARROW


def test_a_kept_composer_sees_that_the_file_changed(drawn, tmp_path):
    composer, path = Composer(), tmp_path / "a.png"
    image(ARROW).save(path)
    assert drawn("a.png", composer=composer) == ARROW
    image(ARROW[::-1]).save(path)
    os.utime(path, ns=(1, 1))
    assert drawn("a.png", composer=composer) == ARROW[::-1]


def test_pictures_stay_inside_the_folder(fault, tmp_path):
    outside = tmp_path.parent / f"{tmp_path.name}-outside.png"
    image(ARROW).save(outside)
    (tmp_path / "link.png").symlink_to(outside)
    (tmp_path / "sub").mkdir()
    for path in (
        str(outside), f"../{outside.name}", f"sub/../../{outside.name}", "link.png",
        "C:\\a.png", "\\a.png", "..\\a.png",
    ):  # fmt: skip
        assert fault(path).code == "picture-outside", path


def test_files_that_are_not_there(fault, tmp_path):
    (tmp_path / "loop.png").symlink_to(tmp_path / "loop.png")
    (tmp_path / "folder.png").mkdir()
    os.mkfifo(tmp_path / "pipe.png")
    for path in ("no.png", "loop.png", "a\0b.png", "n" * 300):
        assert fault(path).code == "picture-missing", path
    for path in ("folder.png", "pipe.png", ""):
        assert fault(path).code == "not-a-file", path


@pytest.mark.parametrize(
    ("mode", "kind"),
    [("L", "grey"), ("RGB", "colours"), ("RGBA", "transparent"), ("LA", "transparent")],
)
def test_grey_and_colour_are_refused(fault, tmp_path, mode, kind):
    image(ARROW, mode).save(tmp_path / "a.png")
    found = fault("a.png")
    assert found.code == "picture-not-1-bit"
    assert kind in found.message
    assert "1-bit" in found.help


def test_a_coloured_palette_and_transparency_are_refused(fault, tmp_path):
    coloured = image(ARROW, "P")
    coloured.putpalette([200, 0, 0] * 256)
    coloured.save(tmp_path / "red.png")
    assert fault("red.png").code == "picture-not-1-bit"
    image(ARROW).save(tmp_path / "clear.png", transparency=1)
    assert fault("clear.png").code == "picture-not-1-bit"


def test_heights(fault, tmp_path):
    image(["#"] * 9).save(tmp_path / "nine.png")
    found = fault("nine.png", raster=7)
    assert found.code == "above-raster"
    assert "the picture is 9 rows high" in found.message
    assert found.help == "use raster 9 or higher, or scale the picture to 7 rows or fewer"
    image(["#"] * 17).save(tmp_path / "high.png")
    assert fault("high.png").code == "picture-too-high"


def test_a_picture_longer_than_a_message(fault, tmp_path):
    Image.new("1", (20_001, 5)).save(tmp_path / "long.png")
    assert fault("long.png").code == "message-too-long"


def chunk(kind: bytes, data: bytes) -> bytes:
    check = struct.pack(">I", zlib.crc32(kind + data))
    return struct.pack(">I", len(data)) + kind + data + check


def png_of(width: int, height: int) -> bytes:
    """A PNG that claims a size and has no pixels (PNG specification: signature, IHDR, IEND)."""
    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IEND", b"")


@pytest.mark.parametrize("side", [2_001, 12_000, 100_000])
def test_too_many_pixels_are_refused_before_they_are_decoded(fault, tmp_path, side):
    # 12,000 x 12,000 makes Pillow warn, 100,000 x 100,000 makes it refuse.
    (tmp_path / "huge.png").write_bytes(png_of(side, side))
    found = fault("huge.png")
    assert found.code == "picture-too-large"
    assert "4,000,000 pixels" in found.help


def test_a_file_of_many_bytes(fault, tmp_path):
    with (tmp_path / "big.png").open("wb") as file:
        file.truncate(17 * 1024 * 1024)
    assert fault("big.png").code == "too-large"


def test_files_that_are_no_pictures(fault, tmp_path):
    image(ARROW, "L").save(tmp_path / "a.gif")
    (tmp_path / "empty.png").write_bytes(b"")
    (tmp_path / "text.pbm").write_text("P1\n3 x\n")
    (tmp_path / "short.pbm").write_bytes(b"P4\n9 9\n\0")
    (tmp_path / "none.png").write_bytes(png_of(5, 5))
    for name in ("a.gif", "empty.png", "text.pbm", "short.pbm", "none.png"):
        assert fault(name).code == "picture-unreadable", name


def test_a_png_that_is_cut_or_changed_anywhere_is_refused(fault, tmp_path):
    image(ARROW).save(tmp_path / "good.png")
    good = (tmp_path / "good.png").read_bytes()
    data = good.index(b"IDAT")
    for end in range(1, len(good)):
        (tmp_path / "cut.png").write_bytes(good[:end])
        assert fault("cut.png").code == "picture-unreadable", end
    for at in range(data, len(good) - 12):
        (tmp_path / "cut.png").write_bytes(good[:at] + bytes([good[at] ^ 4]) + good[at + 1 :])
        assert fault("cut.png").code == "picture-unreadable", at


def test_a_small_picture_of_endless_data_is_refused_in_time(fault, tmp_path):
    header = struct.pack(">IIBBBBB", 8, 8, 1, 0, 0, 0, 0)
    bomb = zlib.compress(bytes(1 << 26), 9)
    chunks = [chunk(b"IHDR", header), chunk(b"IDAT", bomb), chunk(b"IEND", b"")]
    (tmp_path / "bomb.png").write_bytes(b"\x89PNG\r\n\x1a\n" + b"".join(chunks))
    assert fault("bomb.png").code == "picture-unreadable"


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), suffix=st.sampled_from(["png", "ppm"]))
def test_damaged_files_never_end_in_a_traceback(make, tmp_path, data, suffix):
    path = tmp_path / f"a.{suffix}"
    image(ARROW).save(path)
    content = bytearray(path.read_bytes())
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(content) - 1))
        content[place] = data.draw(st.integers(0, 255))
    path.write_bytes(content[: data.draw(st.integers(1, len(content)))])
    message = make.message(make.picture(path.name), raster=5, folder=tmp_path)
    try:
        assert lay_out(message, {}).raster == 5
    except InputError as error:
        assert error.diagnostics

"""PBM, NPZ and JSON, read back with general libraries."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from msgspec import structs
from PIL import Image

from rasterc.diagnostics import InputError
from rasterc.layout.model import Strokes
from rasterc.output.code.geometry import Drawing, DropGeometry
from rasterc.output.code.kinds import KINDS, kind_named
from rasterc.output.code.kinds.json import render_json
from rasterc.output.code.kinds.npz import render_npz
from rasterc.output.code.kinds.pbm import render_pbm
from rasterc.output.code.write import encode_strokes, write_strokes
from rasterc.values.model import Instant


def art_of(picture: Image.Image) -> str:
    """A picture as text, read pixel by pixel."""
    assert picture.mode == "1"
    width, height = picture.size
    return "\n".join(
        "".join("." if picture.getpixel((x, y)) else "#" for x in range(width))
        for y in range(height)
    )


def test_pbm_is_read_by_pillow_as_drawn(strokes, rows):
    assert art_of(Image.open(BytesIO(render_pbm(strokes)))) == "\n".join(rows)


def test_pbm_bytes_follow_netpbm(strokes):
    # Netpbm, pbm(5): "P4", width, height, then rows of bits padded to bytes, 1 is black.
    head, size, bits = render_pbm(strokes).split(b"\n", 2)
    assert (head, size) == (b"P4", b"6 5")
    assert bits == bytes([0b10010100, 0b11000100, 0b10000100, 0b10001100, 0b11100100])


@given(
    raster=st.integers(5, 16),
    columns=arrays(np.uint16, st.integers(1, 40)),
)
def test_any_strokes_survive_pbm_npz_and_json(raster, columns):
    columns &= np.uint16((1 << raster) - 1)
    strokes = Strokes(tuple(columns.tolist()), raster)
    assert art_of(Image.open(BytesIO(render_pbm(strokes)))) == strokes.art()
    with np.load(BytesIO(render_npz(strokes))) as archive:
        assert sorted(archive) == ["columns", "raster"]
        assert archive["columns"].dtype == np.uint16
        assert archive["columns"].tolist() == columns.tolist()
        assert int(archive["raster"]) == raster
    read = json.loads(render_json(strokes))
    assert read["columns"] == columns.tolist()
    assert read["rows"] == strokes.art().split("\n")
    assert sum(row.count("#") for row in read["rows"]) == read["drops"]


def test_json_names_its_schema_and_the_fields(strokes, rows):
    read = json.loads(render_json(strokes))
    assert read["schema"] == "rasterc/strokes/1"
    assert (read["raster"], read["strokes"]) == (5, 6)
    assert read["rows"] == rows
    assert read["columns"][0] == 0b11111  # bit r is row r, row 0 the lowest
    assert read["columns"][3] == 0b10000
    assert read["boxes"][0] == {
        "name": "lot", "text": "LOT", "block": 0, "line": 0,
        "first": 0, "end": 3, "bottom": 0, "top": 5,
    }  # fmt: skip
    assert "instant" not in read


def test_json_tells_texts_and_instant_when_given(strokes):
    when = datetime(2028, 2, 29, 5, 59, tzinfo=UTC)
    resolved = SimpleNamespace(
        message=SimpleNamespace(name="elderflower", products={}),
        instant=Instant(when, {"case": 42}, {"lot": "Ä1"}),
        lines=("BEST Ä", "0042"),
    )
    written = render_json(strokes, resolved)
    read = json.loads(written)
    assert read["message"] == "elderflower"
    assert read["texts"] == ["BEST Ä", "0042"]
    assert read["instant"] == {
        "at": "2028-02-29T05:59:00+00:00", "counters": {"case": 42}, "inputs": {"lot": "Ä1"},
    }  # fmt: skip
    assert "Ä".encode() in written


def test_each_suffix_writes_its_kind(strokes, tmp_path):
    for kind in KINDS:
        path = tmp_path / f"code.{kind.upper()}"
        write_strokes(path, strokes)
        assert path.read_bytes().startswith(kind_named(kind).STARTS)
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(f"code.{k.upper()}" for k in KINDS)


def test_the_drawing_reaches_the_pictures(strokes):
    drawing = Drawing(DropGeometry(ink="#123456"), title="Lot <1>", pixels_per_mm=10)
    svg = encode_strokes("svg", strokes, drawing)
    assert b"#123456" in svg
    assert b"Lot &lt;1&gt;" in svg
    small = Image.open(BytesIO(encode_strokes("png", strokes, drawing)))
    finer = structs.replace(drawing, pixels_per_mm=20)
    large = Image.open(BytesIO(encode_strokes("png", strokes, finer)))
    assert large.width == pytest.approx(2 * small.width, abs=1)


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_says_what_it_is(strokes, kind):
    """A kind that says of itself that it is drawn takes marks; the others do not change by them."""
    module = kind_named(kind)
    plain, marked = (
        encode_strokes(kind, strokes, Drawing(labels=marks, grid=marks)) for marks in (False, True)
    )
    assert (plain != marked) == module.DRAWN
    assert len(module.STARTS) >= 2 or kind == "json"
    others = [one for one in KINDS if one != kind]
    assert not any(plain.startswith(kind_named(one).STARTS) for one in others)


def test_the_readme_says_what_each_kind_is_for():
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    assert all(f"`{kind}`" in readme for kind in KINDS)


def test_same_input_same_bytes(strokes):
    drawing = Drawing(grid=True, labels=True, title="a")
    for kind in KINDS:
        copy = Strokes(tuple(strokes.columns.tolist()), strokes.raster, strokes.boxes)
        assert encode_strokes(kind, strokes, drawing) == encode_strokes(kind, copy, drawing)


@pytest.mark.parametrize("name", ["code.bmp", "code", ".png"])
def test_an_unknown_suffix_names_the_known_ones(strokes, tmp_path, name):
    with pytest.raises(InputError) as raised:
        write_strokes(tmp_path / name, strokes)
    (fault,) = raised.value.diagnostics
    assert fault.code == "unknown-suffix"
    assert f".{', .'.join(KINDS)}" in fault.help
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_kind(strokes):
    with pytest.raises(InputError, match="unknown-kind"):
        encode_strokes("bmp", strokes)


def test_no_strokes_at_all():
    nothing = Strokes((), 7)
    with pytest.raises(InputError) as raised:
        render_pbm(nothing)
    assert raised.value.diagnostics[0].code == "no-strokes"
    for kind in set(KINDS) - {"pbm"}:
        assert encode_strokes(kind, nothing, Drawing(grid=True, labels=True))
    assert json.loads(render_json(nothing))["columns"] == []
    with np.load(BytesIO(render_npz(nothing))) as archive:
        assert archive["columns"].shape == (0,)

"""SVG read with an XML parser and PNG with Pillow: the drops are where the geometry puts them."""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from io import BytesIO

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs
from PIL import Image

from rasterc.diagnostics import InputError
from rasterc.layout.model import Strokes
from rasterc.output.code.geometry import DropGeometry
from rasterc.output.code.kinds.png import render_png
from rasterc.output.code.kinds.svg import render_svg

SVG = "{http://www.w3.org/2000/svg}"
LEANING = DropGeometry(
    stroke_pitch_mm=0.5, row_pitch_mm=0.4, dot_diameter_mm=0.3, slant_mm=0.2, margin_mm=1.0
)


def centres(strokes: Strokes, g: DropGeometry) -> set[tuple[float, float]]:
    """Where drops belong, in mm from the upper left corner: by the words of `DropGeometry`."""
    edge = g.margin_mm + g.dot_diameter_mm / 2
    left = edge + max(0.0, -g.slant_mm)
    places = set()
    for y, row in enumerate(strokes.art().split("\n")):
        height = strokes.raster - 1 - y
        for x, drop in enumerate(row):
            if drop == "#":
                lean = g.slant_mm * height / (strokes.raster - 1)
                places.add((left + x * g.stroke_pitch_mm + lean, edge + y * g.row_pitch_mm))
    return places


def path_points(d: str) -> list[tuple[int, int]]:
    """Where an SVG path draws lines of no length (SVG 1.1, 8.3: M absolute, m and h relative)."""
    x = y = 0
    points = []
    for command, arguments in re.findall(r"([Mmh])([-\d ]+)", d):
        values = [int(v) for v in arguments.split()]
        if command == "M":
            x, y = values
        elif command == "m":
            x, y = x + values[0], y + values[1]
        else:
            assert values == [0]
            points.append((x, y))
    return points


def drops_path(svg: str) -> ET.Element:
    root = ET.fromstring(svg)
    return next(
        p for p in root.iter(f"{SVG}path") if p.get("stroke-width") and p.get("fill") is None
    )


GEOMETRIES = st.builds(
    DropGeometry,
    stroke_pitch_mm=st.floats(0.05, 2),
    row_pitch_mm=st.floats(0.05, 2),
    dot_diameter_mm=st.floats(0.05, 1),
    slant_mm=st.floats(-3, 3),
    margin_mm=st.floats(0, 3),
)
CODES = st.builds(
    lambda raster, columns: Strokes(tuple(c & ((1 << raster) - 1) for c in columns), raster),
    st.integers(5, 16),
    st.lists(st.integers(0, 65535), max_size=12),
)


@given(code=CODES, geometry=GEOMETRIES)
def test_svg_drops_stand_within_two_micrometres(code, geometry):
    svg = render_svg(code, geometry)
    expected = sorted(centres(code, geometry))
    points = sorted((x / 1000, y / 1000) for x, y in path_points(drops_path(svg).get("d")))
    assert len(points) == len(expected) == code.drops
    near = np.array(points).reshape(-1, 2)
    for place in expected:
        assert np.abs(near - place).max(axis=1).min() <= 0.002
    # and all of them lie on the picture
    root = ET.fromstring(svg)
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    edge = geometry.margin_mm + geometry.dot_diameter_mm / 2 - 0.002
    for x, y in points:
        assert edge <= x <= width - edge
        assert edge <= y <= height - edge


def test_svg_has_its_true_size_and_colours(strokes):
    geometry = DropGeometry(0.5, 0.4, 0.3, 0.0, "#112233", "#ddeeff", 1.0)
    root = ET.fromstring(render_svg(strokes, geometry))
    # Six strokes are 5 pitches and a drop wide, five rows 4 pitches and a drop high.
    assert (root.get("width"), root.get("height")) == ("4.8mm", "3.9mm")
    assert root.get("viewBox") == "0 0 4800 3900"
    surface, drops = root.iter(f"{SVG}path")
    assert surface.get("fill") == "#ddeeff"
    assert drops.get("stroke") == "#112233"
    assert drops.get("stroke-width") == "300"
    assert drops.get("stroke-linecap") == "round"


def test_svg_escapes_what_it_is_told(strokes, strokes_of, box):
    title = 'a<b>&"\x00\x1b</title><script>alert(1)</script>'
    root = ET.fromstring(render_svg(strokes, LEANING, title=title))
    assert root.find(f"{SVG}title").text == title.replace("\x00", "\ufffd").replace(
        "\x1b", "\ufffd"
    )
    code = strokes_of(["#" * 5] * 5, (box("<&>", 0, 3),))
    root = ET.fromstring(render_svg(code, LEANING, labels=True))
    assert root.find(f"{SVG}text").text == "<&>"
    assert {e.tag.removeprefix(SVG) for e in root.iter()} == {"svg", "path", "text"}


def test_svg_grid_marks_every_place(strokes):
    root = ET.fromstring(render_svg(strokes, LEANING, grid=True))
    grid = next(p for p in root.iter(f"{SVG}path") if p.get("stroke-dasharray"))
    pitch = float(grid.get("stroke-dasharray").split()[1])
    rows = re.findall(r"M(\d+) (\d+)h(\d+)", grid.get("d"))
    marks = {
        (int(x) + k * pitch, int(y)) for x, y, run in rows for k in range(int(int(run) / pitch) + 1)
    }
    assert marks == {(1150 + 500 * x, 1150 + 400 * y) for x in range(6) for y in range(5)}


def test_labels_stand_under_their_fields_and_make_room(strokes):
    root = ET.fromstring(render_svg(strokes, LEANING, labels=True))
    texts = {t.text: int(t.get("x")) for t in root.iter(f"{SVG}text")}
    assert texts == {"lot": 1000, "crew": 3000}  # left edge of strokes 0 and 4; "" has no label
    lowest = max(int(t.get("y")) for t in root.iter(f"{SVG}text"))
    assert lowest < int(root.get("viewBox").split()[3])
    plain = ET.fromstring(render_svg(strokes, LEANING))
    assert int(root.get("viewBox").split()[2]) > int(plain.get("viewBox").split()[2])


def picture(data: bytes) -> np.ndarray:
    return np.asarray(Image.open(BytesIO(data)).convert("RGB")).astype(int)


@pytest.mark.parametrize("slant", [0.2, -0.3, 0.0])
@pytest.mark.parametrize("scale", [20.0, 17.3])
def test_png_drops_are_discs_at_their_places(strokes, slant, scale):
    geometry = DropGeometry(0.5, 0.4, 0.3, slant, "#000000", "#ffffff", 1.0)
    pixels = picture(render_png(strokes, geometry, pixels_per_mm=scale))[..., 0]
    ink = 1 - pixels / 255
    radius = 0.15 * scale
    for x, y in centres(strokes, geometry):
        # Drops do not touch here; this window is too small to see a neighbour.
        top, left = math.floor(y * scale - radius - 0.5), math.floor(x * scale - radius - 0.5)
        side = math.ceil(2 * radius + 1.5)
        part = ink[top : top + side, left : left + side]
        across, down = np.meshgrid(np.arange(side) + left + 0.5, np.arange(side) + top + 0.5)
        assert (part * across).sum() / part.sum() == pytest.approx(x * scale, abs=0.1)
        assert (part * down).sum() / part.sum() == pytest.approx(y * scale, abs=0.05)
    disc = math.pi * radius**2
    assert ink.sum() / strokes.drops == pytest.approx(disc, rel=0.03)


def test_png_has_its_size_resolution_and_colours(strokes):
    geometry = DropGeometry(0.5, 0.4, 0.3, 0.0, "#112233", "#ddeeff", 1.0)
    data = render_png(strokes, geometry, pixels_per_mm=20)
    image = Image.open(BytesIO(data))
    assert image.size == (96, 78)
    assert image.info["dpi"][0] == pytest.approx(508, abs=0.5)
    pixels = picture(data)
    assert tuple(pixels[0, 0]) == (0xDD, 0xEE, 0xFF)
    assert tuple(pixels[78 - 23, 23]) == (0x11, 0x22, 0x33)  # 1.15 mm in and up: the first drop


def test_overlapping_drops_do_not_wash_each_other_out(strokes_of):
    geometry = DropGeometry(0.1, 0.1, 0.3, 0.0, "#000000", "#ffffff", 0.5)
    pixels = picture(render_png(strokes_of(["#" * 9] * 9), geometry))[..., 0]
    middle = pixels[13:-13, 13:-13]
    assert middle.size
    assert (middle == 0).all()


@given(code=CODES, geometry=GEOMETRIES, scale=st.floats(0.3, 80))
def test_png_of_any_geometry_prints_each_drop(code, geometry, scale):
    geometry = structs.replace(geometry, ink="#000000", surface="#ffffff")
    try:
        ink = 255 - picture(render_png(code, geometry, pixels_per_mm=scale))[..., 0]
    except InputError as error:
        assert error.diagnostics[0].code == "picture-too-large"
        return
    assert (ink.max() > 0) == (code.drops > 0)
    reach = 0.5 + 0.5 * scale * geometry.dot_diameter_mm  # the pixel a drop's middle falls into
    for x, y in centres(code, geometry):
        at = ink[min(int(y * scale), len(ink) - 1), min(int(x * scale), ink.shape[1] - 1)]
        assert at == 255 or reach < 2


@pytest.mark.parametrize("scale", [0.5, 1.0, 3.0])
def test_a_coarse_png_still_shows_something(strokes, scale):
    pixels = picture(render_png(strokes, LEANING, pixels_per_mm=scale))
    assert (pixels < 255).any()


def test_png_grid_and_labels_add_marks(strokes):
    plain = picture(render_png(strokes, LEANING))
    grid = picture(render_png(strokes, LEANING, grid=True))
    assert plain.shape == grid.shape
    marked = (grid < plain).any(axis=2)
    # The place of stroke 2 on row 4 (top) carries no drop; its mark is 2.15 x 1.15 mm in.
    assert marked[23, 43]
    labels = picture(render_png(strokes, LEANING, labels=True))
    assert labels.shape[0] > plain.shape[0]
    assert (labels[plain.shape[0] :] < 255).any()


def test_a_png_over_the_limit_names_a_resolution_that_works(strokes_of):
    code = strokes_of(["#" * 3000] * 16)
    with pytest.raises(InputError) as raised:
        render_png(code, LEANING, pixels_per_mm=40)
    (fault,) = raised.value.diagnostics
    assert fault.code == "picture-too-large"
    fits = float(re.search(r"use ([\d.]+) pixels", fault.help).group(1))
    assert fits > 10
    assert render_png(code, LEANING, pixels_per_mm=fits)


@pytest.mark.parametrize("scale", [0.0, -1.0, math.nan, math.inf])
def test_a_resolution_must_be_positive(strokes, scale):
    with pytest.raises(InputError, match="bad-resolution"):
        render_png(strokes, LEANING, pixels_per_mm=scale)


def test_a_geometry_reports_all_its_faults():
    with pytest.raises(InputError) as raised:
        DropGeometry(0, -1, math.nan, math.inf, "red", "#12345", -2)
    named = " ".join(fault.message for fault in raised.value.diagnostics)
    assert len(raised.value.diagnostics) == 7
    for part in ("stroke pitch", "row pitch", "dot diameter", "slant", "ink", "surface", "margin"):
        assert part in named

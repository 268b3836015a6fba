"""Blocks that stand on a common baseline, or in the middle of the raster."""

import pytest
from PIL import Image

from rasterc.api import load, load_text
from rasterc.diagnostics import InputError
from rasterc.layout import lay_out
from rasterc.values import Instant


def rows(blocks, raster=16):
    """The lowest and highest row with a drop of each line or picture."""
    code = load_text(f"message m {{ raster {raster} font upright-7 {blocks} }}")
    lines = lay_out(code.plan.resolve(Instant()), code.fonts).lines
    found = []
    for line in lines:
        drops = 0
        for column in line.columns:
            drops |= column
        found.append(((drops & -drops).bit_length() - 1, drops.bit_length() - 1))
    return found


def test_capitals_stand_on_one_row_whatever_their_font():
    blocks = [f'block stand baseline {{ line font upright-{n}: "H0" }}' for n in (16, 9, 7, 5)]
    lowest = {low for low, _ in rows(" ".join(blocks))}
    assert len(lowest) == 1
    code = load_text(f"message m {{ raster 16 font upright-7 {' '.join(blocks)} }}")
    assert lowest == {max(code.fonts[f"upright-{n}"].descent for n in (16, 9, 7, 5))}


def test_only_blocks_that_are_asked_to_share_a_baseline():
    alone = 'block { line: "H" } block stand baseline { line: "H" }'
    assert rows(alone) == [(0, 6), (0, 6)]
    raised = alone
    assert rows(raised + ' block stand baseline { line inverse: "H" }')[:2] == [(0, 6), (1, 7)]


@pytest.mark.parametrize(("raster", "row"), [(16, 4), (15, 4), (9, 1), (8, 0), (7, 0)])
def test_the_middle_has_as_many_rows_above_as_below_or_one_more(raster, row):
    assert rows('block stand middle { line: "H" }', raster) == [(row, row + 6)]


def test_a_picture_stands_too(tmp_path, monkeypatch):
    Image.new("1", (3, 4), 0).save(tmp_path / "box.png")
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "m.rasterc"
    path.write_text(
        "message m { raster 16 font upright-7\n"
        'block stand baseline { picture "box.png" }\n'
        'block stand middle { picture "box.png" }\n'
        'block stand baseline { line font upright-16: "1" } }'
    )
    code = load(path)
    lines = lay_out(code.plan.resolve(Instant()), code.fonts).lines
    assert [line.bottom for line in lines[:2]] == [code.fonts["upright-16"].descent, 6]


@pytest.mark.parametrize(
    ("block", "code"),
    [
        ('block stand middle { line: "A" line: "B" }', "stands-alone"),
        ('block stand baseline { line row 2: "A" }', "conflicting-options"),
        ('block stand up { line: "A" }', "unknown-option"),
        ('block stand { line: "A" }', "missing-word"),
        ('block stand middle stand middle { line: "A" }', "duplicate-option"),
    ],
)
def test_what_cannot_stand_is_refused(block, code):
    with pytest.raises(InputError) as caught:
        load_text(f"message m {{ raster 16 font upright-7 {block} }}")
    assert [diagnostic.code for diagnostic in caught.value.diagnostics] == [code]


def test_a_baseline_that_lifts_a_line_above_the_raster_is_told():
    blocks = (
        'block stand baseline { line font upright-16: "1" } '
        'block stand baseline { line font upright-16 inverse: "1" }'
    )
    with pytest.raises(InputError) as caught:
        rows(blocks)
    assert {diagnostic.code for diagnostic in caught.value.diagnostics} == {"above-raster"}

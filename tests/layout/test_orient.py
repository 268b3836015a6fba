"""Turning and mirroring strokes, checked on the picture as an eye sees it."""

from __future__ import annotations

import pytest

from rasterc.layout import compile_strokes, lay_out, orient


@pytest.fixture(scope="module")
def strokes(make, tiny):
    line = make.line("L", ("lot", "QA"), row=1)
    return compile_strokes(lay_out(make.message(line, raster=8), tiny))


def test_half_a_turn(strokes):
    turned = orient(strokes, upside_down=True).art()
    assert turned == strokes.art()[::-1]  # reading the whole text backwards is half a turn


def test_mirrored(strokes):
    rows = strokes.art().split("\n")
    assert orient(strokes, mirrored=True).art().split("\n") == [row[::-1] for row in rows]


def test_both_leave_rows_reversed(strokes):
    rows = strokes.art().split("\n")
    assert orient(strokes, upside_down=True, mirrored=True).art().split("\n") == rows[::-1]


@pytest.mark.parametrize("turn", [{}, {"upside_down": True}, {"mirrored": True}])
def test_twice_is_the_same_again(strokes, turn):
    again = orient(orient(strokes, **turn), **turn)
    assert again.art() == strokes.art()
    assert again.boxes == strokes.boxes


@pytest.mark.parametrize("upside_down", [False, True])
@pytest.mark.parametrize("mirrored", [False, True])
def test_boxes_follow_their_drops(strokes, upside_down, mirrored):
    turned = orient(strokes, upside_down, mirrored)
    for before, after in zip(strokes.boxes, turned.boxes, strict=True):
        old = strokes.columns[before.first : before.end] >> before.bottom
        new = turned.columns[after.first : after.end] >> after.bottom
        height = before.top - before.bottom
        assert after.top - after.bottom == height
        mask = (1 << height) - 1
        drops = sorted(int(c & mask).bit_count() for c in old)
        assert drops == sorted(int(c & mask).bit_count() for c in new)
        assert sum(drops) > 0


def test_strokes_cannot_be_changed_by_accident(strokes):
    for some in (strokes, orient(strokes), orient(strokes, True), orient(strokes, False, True)):
        with pytest.raises(ValueError, match="read-only"):
            some.columns[0] = 1

"""Lines on the raster, blocks side by side, and what can be wrong with them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.layout import compile_strokes, lay_out
from rasterc.layout.model import MAX_STROKES
from rasterc.source.message import Align


@pytest.fixture(scope="module")
def fonts(make, tiny):
    return tiny | {f"full-{n}": make.full_font(f"full-{n}", n) for n in (2, 4, 7, 9)}


@pytest.fixture
def faults(fonts):
    def found(message):
        with pytest.raises(InputError) as raised:
            lay_out(message, fonts)
        return list(raised.value.diagnostics)

    return found


@pytest.mark.parametrize(
    ("heights", "raster", "bottoms"),
    [
        ([4], 9, [0]),
        ([7, 7], 16, [9, 0]),
        ([9, 7], 16, [7, 0]),
        ([4, 4, 4], 16, [12, 6, 0]),
        ([4, 4, 4], 15, [11, 5, 0]),  # three spare rows: two in the upper gap
        ([2, 2, 2, 2], 16, [14, 9, 4, 0]),
        ([2, 2, 2, 2], 9, [7, 4, 2, 0]),
    ],
)
def test_automatic_rows(make, fonts, heights, raster, bottoms):
    block = make.block(*(make.line("A", font=f"full-{h}") for h in heights))
    layout = lay_out(make.message(block, raster=raster), fonts)
    assert [line.bottom for line in layout.lines] == bottoms
    assert [line.top for line in layout.lines] == [
        b + h for b, h in zip(bottoms, heights, strict=True)
    ]


def test_lines_align_in_the_widest(make, fonts):
    block = make.block(
        make.line("AAA", font="full-2"),
        make.line("A", font="full-2", align=Align.LEFT),
        make.line("A", font="full-2", align=Align.CENTER),
        make.line("A", font="full-2", align=Align.RIGHT),
    )
    assert compile_strokes(lay_out(make.message(block, raster=8), fonts)).art().split() == [
        "##.##.##", "##.##.##",
        "##......", "##......",
        "...##...", "...##...",
        "......##", "......##",
    ]  # fmt: skip


def test_blocks_stand_side_by_side_with_their_gaps(make, fonts):
    one, two = make.line("A", font="full-2"), make.line(("lot", "AA"), font="full-4", row=1)
    message = make.message(make.block(one, gap=1), make.block(), make.block(two, gap=3))
    layout = lay_out(message, fonts)
    assert compile_strokes(layout).art().split() == [
        "......##.##",
        "......##.##",
        "......##.##",
        ".##...##.##",
        ".##........",
    ]
    (box,) = (box for box in layout.boxes if box.name == "lot")
    assert (box.block, box.line, box.first, box.end, box.bottom, box.top) == (2, 0, 6, 11, 1, 5)


def test_lines_that_do_not_fit_say_what_would(make, faults):
    block = make.block(make.line("A", font="full-9"), make.line("A", font="full-7"))
    (fault,) = faults(make.message(block, raster=12))
    assert fault.code == "rows-too-few"
    assert "9 + 7 = 16 rows" in fault.message
    assert "raster has 12" in fault.message
    assert fault.help.startswith("use raster 16, or fonts of 6 rows or fewer")
    block = make.block(make.line("A", font="full-9"), make.line("A", font="full-9"))
    (fault,) = faults(make.message(block, raster=12))
    assert "raster 18" not in fault.help


def test_a_font_above_the_raster_names_the_raster_and_the_fonts_that_would_do(make, faults):
    (fault,) = faults(make.message(make.line("A", font="full-9"), raster=7))
    assert fault.code == "above-raster"
    assert "line 1 is 9 rows high" in fault.message
    assert "rows 0 to 6" in fault.message
    assert "use raster 9 or higher" in fault.help
    assert "7 rows or fewer (full-2, full-4, full-7, tiny)" in fault.help
    assert fault.span is not None
    assert fault.span.text.startswith("line font full-9")


def test_a_row_too_high_names_the_highest_that_would_do(make, faults):
    (fault,) = faults(make.message(make.line("A", font="full-4", row=3), raster=5))
    assert fault.code == "above-raster"
    assert fault.help == "give it row 1 or lower, or use raster 7 or higher"


def test_overlapping_lines_are_both_named_with_their_rows(make, faults):
    block = make.block(make.line("A", font="full-7", row=5), make.line("A", font="full-7", row=0))
    (fault,) = faults(make.message(block, raster=16))
    assert fault.code == "lines-overlap"
    assert "line 1 (rows 5 to 11) and line 2 (rows 0 to 6)" in fault.message
    assert fault.message.endswith("overlap on rows 5 to 6")
    assert fault.help == "give line 1 row 7"


def test_rows_touching_do_not_overlap(make, fonts):
    block = make.block(make.line("A", font="full-7", row=0), make.line("A", font="full-7", row=7))
    assert compile_strokes(lay_out(make.message(block, raster=14), fonts)).drops == 28


def test_a_row_for_some_lines_only_is_a_mistake(make, faults):
    block = make.block(make.line("A", font="full-2", row=3), make.line("A", font="full-2"))
    (fault,) = faults(make.message(block, raster=7))
    assert fault.code == "row-missing"
    assert fault.message.startswith("line 2")


def test_missing_glyphs_are_named_at_their_place(make, fonts, faults):
    line = make.line("LÉI", ("city", "Žil\u0007"), font="tiny")
    first, second = faults(make.message(line))
    assert first.code == second.code == "missing-glyph"
    assert '"É" (U+00C9)' in first.message
    assert first.span is not None
    assert first.span.text == "É"
    assert '"Ž" (U+017D), "i" (U+0069), "l" (U+006C)' in second.message
    assert "control character (U+0007)" in second.message
    assert "which city prints here" in second.message
    assert second.span is not None
    assert second.span.text == "city"


def test_missing_glyphs_name_a_font_that_has_them(make, faults):
    (fault,) = faults(make.message(make.line("Q", font="full-4")))
    assert fault.help == "fonts that carry all of them: tiny"


def test_a_tower_refuses_characters_wider_than_its_rows(make, faults):
    (fault,) = faults(make.message(make.line("A@", tower=True)))
    assert fault.code == "tower-too-wide"
    assert '"@" (U+0040)' in fault.message
    assert "4 rows high" in fault.message


def test_a_font_of_more_than_16_rows(make):
    fonts = {"huge": make.full_font("huge", 17)}
    with pytest.raises(InputError) as raised:
        lay_out(make.message(make.line("A", font="huge"), raster=16), fonts)
    (fault,) = raised.value.diagnostics
    assert fault.code == "font-too-high"
    assert "17 rows high" in fault.message
    assert fault.span is not None
    assert fault.span.text == "huge"


def test_an_unknown_font_suggests_the_nearest(make, faults):
    (fault,) = faults(make.message(make.line("A", font="tinny")))
    assert (fault.code, fault.help) == ("unknown-font", 'did you mean "tiny"?')


def test_a_message_over_the_limit_is_refused_before_it_is_built(make, fonts, faults):
    fits = make.line("A" * ((MAX_STROKES + 1) // 3), font="full-2")  # 3 strokes each, less one
    assert lay_out(make.message(fits), fonts).length == MAX_STROKES
    over = make.line("A" * ((MAX_STROKES + 1) // 3) + "A", font="full-2")
    (fault,) = faults(make.message(over))
    assert fault.code == "message-too-long"
    assert "20,003 strokes" in fault.message
    (fault,) = faults(make.message(make.line("A" * 1000, font="full-2", bold=10**9)))
    assert fault.code == "message-too-long"


def test_all_faults_are_reported_together(make, faults):
    stack = make.block(make.line("É", font="full-9"), make.line("A", font="full-9"))
    message = make.message(stack, make.line("A", font="nix"), make.picture("no.png"), raster=16)
    assert [fault.code for fault in faults(message)] == [
        "missing-glyph", "rows-too-few", "unknown-font", "picture-missing",
    ]  # fmt: skip


@given(
    raster=st.integers(5, 16),
    placed=st.lists(
        st.tuples(st.integers(0, 16), st.sampled_from([2, 4, 7])), min_size=1, max_size=4
    ),
)
def test_written_rows_are_accepted_exactly_when_no_row_is_used_twice(make, fonts, raster, placed):
    lines = (make.line("A", font=f"full-{height}", row=row) for row, height in placed)
    used = [row + r for row, height in placed for r in range(height)]
    message = make.message(make.block(*lines), raster=raster)
    if len(set(used)) == len(used) and max(used) < raster:
        rows = compile_strokes(lay_out(message, fonts)).art().split("\n")
        assert {raster - 1 - y for y, row in enumerate(rows) if row == "##"} == set(used)
    else:
        with pytest.raises(InputError) as raised:
            lay_out(message, fonts)
        found = {fault.code for fault in raised.value.diagnostics}
        assert ("above-raster" in found) == (max(used) >= raster)
        assert ("lines-overlap" in found) == (len(set(used)) < len(used))

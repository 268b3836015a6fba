"""Characters, spacing and styles of one line, drawn out."""

from __future__ import annotations

import pytest

from rasterc.layout import Composer, compile_strokes, lay_out


@pytest.fixture
def draw(make, tiny):
    def drawn(*runs, raster=5, fonts=tiny, **options) -> str:
        layout = lay_out(make.message(make.line(*runs, **options), raster=raster), fonts)
        return compile_strokes(layout).art()

    return drawn


def test_spacing_stands_between_characters_only(draw, art):
    assert draw("LI") == art("""
        #...#
        #...#
        #...#
        ###.#
        .....
    """)
    assert draw("LI", spacing=2).splitlines()[0] == "#.....#"


def test_rows_above_the_font_stay_empty(draw, art):
    assert draw("L", raster=7) == art("""
        ...
        ...
        #..
        #..
        #..
        ###
        ...
    """)
    assert draw("L", raster=7, row=2).splitlines()[0] == "#.."


def test_bold_prints_strokes_again_but_not_the_spaces(draw):
    assert draw("LI", bold=2).splitlines()[0] == "##.....##"
    assert draw("LI", bold=2).splitlines()[3] == "######.##"


def test_wide_spreads_strokes_and_spaces_alike(draw):
    assert draw("LI", wide=2).splitlines()[3] == "#.#.#...#"
    assert draw("LI", wide=3).splitlines()[3] == "#..#..#.....#"


def test_bold_and_wide_together(draw):
    assert draw("LI", bold=2, wide=2).splitlines()[3] == "##.##.##...##"


def test_fixed_centres_in_the_widest_digit_or_letter(draw):
    # The widest letter is Q with 4 strokes; "@" does not count and keeps its width.
    assert draw("I", fixed=True).splitlines()[0] == ".#.."
    assert draw("IL", fixed=True).splitlines()[0] == ".#...#..."
    assert len(draw("@", fixed=True).splitlines()[0]) == 6


def test_fixed_padding_is_made_bold_with_its_glyph(draw):
    assert draw("I", fixed=True, bold=2).splitlines()[0] == "..##...."


def test_inverse_swaps_its_own_rows_and_a_border_around_them(draw, art):
    assert draw("I", inverse=True, raster=8, row=1) == art("""
        ###
        #.#
        #.#
        #.#
        #.#
        ###
        ###
        ...
    """)


def test_empty_lines_print_nothing(draw):
    assert draw("") == "\n" * 4
    assert draw("", inverse=True, raster=7) == "\n" * 6
    assert draw() == "\n" * 4


def test_a_tower_reads_upright_once_turned_to_the_right(draw, make, tiny):
    rows = draw("LQ", tower=True).splitlines()
    turned = ["".join(row[x] for row in reversed(rows)) for x in range(len(rows[0]))]
    # Turned a quarter clockwise, the letters stand one below the other as the font draws them.
    # Q fills the four rows of the tower's cell; the raster's fifth row stays empty.
    assert turned == [
        "#....", "#....", "#....", "###..", ".....",
        ".....",
        ".##..", "#..#.", "#.##.", ".###.", "...#.",
    ]  # fmt: skip


def test_a_fixed_tower_centres_its_letters(draw):
    assert draw("I", tower=True, fixed=True).splitlines()[3] == "####."


@pytest.mark.parametrize("style", [{}, {"wide": 2}, {"inverse": True}, {"bold": 2, "wide": 3}])
def test_a_field_occupies_its_drops_without_the_space_after_it(make, tiny, style):
    line = make.line("L", ("lot", "AI"), ("none", ""), ("crew", "I"), ("last", ""), **style)
    layout = lay_out(make.message(line, raster=7), tiny)
    length = layout.length
    first_box, lot, none, crew, last = layout.boxes
    margin = 1 if style.get("inverse") else 0
    setter = Composer().setter(tiny["tiny"], line.line)
    assert first_box.first == margin
    assert lot.first == margin + setter.advance("L")
    assert lot.end == margin + setter.length("LAI") - (2 * margin)
    assert (none.first, none.end) == (crew.first, crew.first)
    assert crew.end == length - margin
    assert (last.first, last.end) == (crew.end, crew.end)
    assert {(box.bottom, box.top) for box in layout.boxes} == {(0, 5 + 2 * margin)}
    assert lot.span.text == "lot"


def test_length_is_a_sum_of_advances_less_one_constant(make, tiny):
    for style in ({}, {"wide": 3}, {"bold": 2, "spacing": 2}, {"fixed": True}, {"tower": True}):
        line = make.line("LQ I A", **style)
        setter = Composer().setter(tiny["tiny"], line.line)
        strokes = sum(map(setter.advance, line.text)) - setter.trailing
        assert lay_out(make.message(line), tiny).length == strokes == setter.length(line.text)


def test_a_kept_composer_changes_nothing(make, tiny):
    composer = Composer()
    for style in ({}, {"bold": 2}, {"inverse": True}, {"tower": True}, {}):
        message = make.message(make.line("LAQI", **style), raster=7)
        assert lay_out(message, tiny, composer) == lay_out(message, tiny)

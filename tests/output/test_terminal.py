"""Strokes as text, read back drop by drop."""

from __future__ import annotations

import math
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.layout.model import Strokes
from rasterc.output.code.styles import TerminalStyle
from rasterc.output.code.terminal import render_terminal


def drops(char: str) -> list[str]:
    """The drops of a character, top row first, from its Unicode name."""
    name = unicodedata.name(char)
    blocks = {
        "SPACE": "..",
        "FULL BLOCK": "##",
        "UPPER HALF BLOCK": "#.",
        "LOWER HALF BLOCK": ".#",
    }
    if name in blocks:
        return list(blocks[name])
    dots = set() if name.endswith("BLANK") else set(name.removeprefix("BRAILLE PATTERN DOTS-"))
    # Unicode, chapter 21: dots 1 2 3 7 go down the left side, 4 5 6 8 down the right.
    return ["".join("#" if d in dots else "." for d in pair) for pair in ("14", "25", "36", "78")]


ROWS_PER_LINE = {"block": 2, "braille": 4, "dots": 1, "plain": 1}


def read(text: str, raster: int, style: str) -> list[str]:
    """All panels side by side, as rows of # and . (blanks at the right end are lost)."""
    size = math.ceil(raster / ROWS_PER_LINE[style])
    whole = [""] * raster
    lines = text.split("\n")
    for start in range(0, len(lines), size + 2):  # a ruler before and an empty line after
        assert "".join(lines[start + size + 1 : start + size + 2]) == ""
        body = lines[start + 1 : start + 1 + size]
        if style == "dots":
            rows = [line.translate(str.maketrans("●·", "#.")) for line in body]
        elif style == "plain":
            rows = body
        else:
            width = max(map(len, body))
            cells = [[drops(char) for char in line.ljust(width)] for line in body]
            rows = ["".join(parts) for line in cells for parts in zip(*line, strict=True)]
        whole = [a + b for a, b in zip(whole, rows, strict=False)]
    return [row.rstrip(".") for row in whole]


@pytest.mark.parametrize("style", list(TerminalStyle))
@given(raster=st.integers(5, 16), columns=st.lists(st.integers(1, 65535), min_size=1, max_size=90))
def test_every_drop_is_drawn(style, raster, columns):
    mask = (1 << raster) - 1
    # No empty strokes: every panel is full, so that panels can be put side by side again.
    code = Strokes(tuple((c & mask) or 1 for c in columns), raster)
    text = render_terminal(code, 30, style)
    assert all(len(line) <= 30 for line in text.split("\n"))
    assert read(text, raster, style) == [row.rstrip(".") for row in code.art().split("\n")]


def test_plain_is_ascii_with_ruler_rows_and_labels(strokes, rows):
    text = render_terminal(strokes, style="plain", row_numbers=True, labels=True)
    assert text.isascii()
    assert text.split("\n") == [
        "   |0",
        *(f"{4 - y:>2} {row}" for y, row in enumerate(rows)),
        "   [lot",
        "       [crew",
    ]


def test_the_ruler_counts_on_from_panel_to_panel(strokes_of):
    lines = render_terminal(strokes_of(["#" * 45] * 5), 25, "plain").split("\n")
    assert lines[0] == "|0        |10       |20"
    assert lines[7] == "     |30       |40"
    assert len(lines[8]) == 20


def test_braille_counts_two_strokes_for_a_character(strokes_of):
    lines = render_terminal(strokes_of(["#" * 45] * 5), 80, "braille").split("\n")
    assert lines[0].split("╷") == ["", "0        ", "20       ", "40"]


def test_panels_break_at_a_gap_when_one_is_near(strokes_of):
    art = ["#" * 20 + "." + "#" * 20] * 5
    panels = render_terminal(strokes_of(art), 25, "plain").split("\n\n")
    assert [panel.split("\n")[1] for panel in panels] == ["#" * 20 + ".", "#" * 20]


def test_a_wide_field_is_bracketed_and_named_in_each_panel(strokes_of, box):
    code = strokes_of(["#" * 40] * 5, (box("lot", 2, 30), box("time", 32, 40, line=1)))
    first, second = render_terminal(code, 20, "plain", labels=True).split("\n\n")
    assert first.split("\n")[6:] == ["  [lot-------------]"]
    assert second.split("\n")[6:] == ["[lot-----]  [time--]"]


def test_nothing_to_draw():
    assert render_terminal(Strokes((), 7)) == "(nothing is printed)"


def test_a_style_or_width_that_cannot_be(strokes):
    with pytest.raises(InputError) as raised:
        render_terminal(strokes, 80, "brail")
    assert raised.value.diagnostics[0].help == 'did you mean "braille"?'
    with pytest.raises(InputError, match="terminal-too-narrow"):
        render_terminal(strokes, 5)

"""Look-alikes against a plain search over sets of drops."""

from hypothesis import given
from hypothesis import strategies as st

from rasterc.fonts.audit import look_alikes, missing
from rasterc.fonts.model import Font, Glyph


def drops_of(glyph):
    return {
        (x, row)
        for x, column in enumerate(glyph.columns)
        for row in range(column.bit_length())
        if column >> row & 1
    }


def plain_search(first, second):
    """Fewest differing drops: every shift of a row, and of columns as the docstring allows."""
    a, b = drops_of(first), drops_of(second)
    spread_a, spread_b = ({x for x, _ in drops} or {0} for drops in (a, b))
    aligned = min(spread_a) - min(spread_b)
    slack = (max(spread_a) - min(spread_a)) - (max(spread_b) - min(spread_b))
    shifts = range(aligned + min(0, slack) - 2, aligned + max(0, slack) + 3)
    return min(len(a ^ {(x + dx, y + dy) for x, y in b}) for dx in shifts for dy in (-1, 0, 1))


@given(st.data())
def test_every_pair_is_found_with_its_distance(fonts, data):
    font = data.draw(fonts())
    alphabet = "".join(font.glyphs)
    inked = sorted(c for c in alphabet if font.glyphs[c].drops)
    pairs = look_alikes(font, alphabet)
    assert {(p.first, p.second) for p in pairs} == {(a, b) for a in inked for b in inked if a < b}
    for pair in pairs:
        first, second = font.glyphs[pair.first], font.glyphs[pair.second]
        assert pair.differing == plain_search(first, second)
        assert pair.drops == first.drops + second.drops
        assert 0 <= pair.share <= 1
    assert [p.differing for p in pairs] == sorted(p.differing for p in pairs)


@given(st.data(), st.integers(0, 12))
def test_a_limit_leaves_out_the_others(fonts, data, at_most):
    font = data.draw(fonts())
    alphabet = "".join(font.glyphs)
    near = tuple(p for p in look_alikes(font, alphabet) if p.differing <= at_most)
    assert look_alikes(font, alphabet, at_most=at_most) == near


def test_a_shifted_glyph_is_the_same_shape():
    glyphs = {"a": Glyph("a", (0b0110, 0b1000)), "b": Glyph("b", (0, 0, 0b0011, 0b0100, 0))}
    (pair,) = look_alikes(Font("f", 4, 0, 1, glyphs), "ab!")
    assert (pair.differing, pair.share) == (0, 0.0)


def test_missing_characters_come_once_in_order():
    font = Font("f", 1, 0, 1, {"A": Glyph("A", (1,))})
    assert missing(font, ["BAD", "CAB"]) == ("B", "D", "C")

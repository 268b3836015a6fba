"""Lost drops: against the sum over all subsets, written down from the rule's words alone."""

import math
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.fonts.model import Font, Glyph
from rasterc.reading.lost import LostDropReader, misread_lost
from rasterc.reading.model import Bracket
from rasterc.reading.shapes import shapes_of
from rasterc.reading.union import tails

CAPITALS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
DIGITS = "0123456789"


def by_all_subsets(make, font, char, alphabet, loss):
    """The chances that another character is nearer, and that one is nearer or as near."""
    own = make.drops(font.glyphs[char].columns)
    selves = make.alignments(own, own)
    others = set(alphabet) - {char}
    rivals = [r for c in others for r in make.alignments(own, make.drops(font.glyphs[c].columns))]
    clear = tied = 0.0
    for lost in range(len(own) + 1):
        chance = loss**lost * (1 - loss) ** (len(own) - lost)
        for missing in combinations(own, lost):
            left = own.difference(missing)
            mine = min(len(left ^ shape) for shape in selves)
            nearest = min((len(left ^ shape) for shape in rivals), default=math.inf)
            clear += chance * (nearest < mine)
            tied += chance * (nearest <= mine)
    return clear, tied


def agrees(bracket, exact):
    assert bracket.low <= exact + 1e-12  # rounding of doubles
    assert exact <= bracket.high + 1e-12
    assert bracket.high - bracket.low <= max(0.02 * bracket.high, 1e-12)


@pytest.mark.parametrize("loss", [0.02, 0.2, 0.6])
@pytest.mark.parametrize("char", "01234")
def test_small_glyphs_agree_with_the_sum_over_all_subsets(make, char, loss):
    font = make.font(
        **{"0": "###/#.#/#.#/###", "1": "#/#/#/#", "2": "##./..#/.#./###", "3": "###/.##/..#/##."},
        **{"4": "#.#/###/..#/..#"},
    )
    found = LostDropReader(shapes_of(font, "01234"), loss).misread(char)
    clear, tied = by_all_subsets(make, font, char, "01234", loss)
    agrees(found.clear, clear)
    agrees(found.tied, tied)


columns = st.lists(st.integers(0, 7), min_size=0, max_size=4).map(tuple)


@settings(max_examples=60, deadline=None)
@given(st.lists(columns, min_size=1, max_size=4), st.floats(0.0, 0.9))
def test_glyphs_of_any_shape_agree_with_the_sum_over_all_subsets(make, shapes, loss):
    glyphs = {c: Glyph(c, shape) for c, shape in zip(CAPITALS, shapes, strict=False)}
    font = Font("any", 3, 0, 1, glyphs)
    found = LostDropReader(shapes_of(font, glyphs), loss).misread("A")
    clear, tied = by_all_subsets(make, font, "A", glyphs, loss)
    agrees(found.clear, clear)
    agrees(found.tied, tied)


def test_one_pair_by_hand(make):
    # E has two drops more than F. One lost is a tie, both lost make it an F.
    font = make.font(E="###/#../##./#../###", F="###/#../##./#../#..")
    chance = misread_lost(font, "E", "EF", 0.1)
    assert chance.low == pytest.approx(0.1**2, rel=1e-9)
    assert chance.high == pytest.approx(1 - 0.9**2, rel=0.01)
    # F has nothing that E lacks, so no loss brings it nearer to E.
    assert misread_lost(font, "F", "EF", 0.1) == Bracket(0, 0)


def test_equal_glyphs_cannot_be_told(make):
    font = make.font(O="##/##", Q="##/##", blank="../..")
    assert misread_lost(font, "O", "OQ") == Bracket(0, 1)
    assert misread_lost(font, " ", "OQ ") == Bracket(0, 0)


def test_no_rival_no_misreading(make):
    font = make.font(A="#/#")
    assert misread_lost(font, "A", "A") == Bracket(0, 0)
    assert misread_lost(font, "A", "AÅ") == Bracket(0, 0)  # the font lacks it


def test_more_rivals_and_more_loss_never_help(make):
    font = make.demo("upright-7")
    few, many = (misread_lost(font, "8", a) for a in (DIGITS, DIGITS + CAPITALS))
    assert few.low <= many.low * 1.02
    assert few.high <= many.high * 1.02
    chances = [misread_lost(font, "8", DIGITS, p).high for p in (0.0, 0.01, 0.02, 0.05, 0.1)]
    assert chances[0] == 0
    assert chances == sorted(chances)


@pytest.mark.parametrize("name", ["upright-5", "upright-7", "upright-9", "upright-16", "tall-12"])
def test_brackets_of_whole_alphabets_are_within_two_percent(make, name):
    reader = LostDropReader(shapes_of(make.demo(name), DIGITS + CAPITALS))
    for char in DIGITS + CAPITALS:
        found = reader.misread(char)
        for end in (found.clear, found.tied):
            assert 0 <= end.low <= end.high <= 1
            assert end.high - end.low <= max(0.02 * end.high, 1e-12)
        assert found.clear.low <= found.tied.high


def test_a_rival_alone_is_no_likelier_than_all_together(make):
    reader = LostDropReader(shapes_of(make.demo("upright-7"), DIGITS + CAPITALS))
    for char in "08BE":
        whole = reader.misread(char)
        first = reader.likeliest(char)[0]
        alone = reader.misread(char, first)
        assert 0 < alone.tied.low <= whole.tied.high
        assert all(
            reader.misread(char, r).tied.low <= alone.tied.high for r in reader.likeliest(char)
        )


def test_known_look_alikes_come_first(make):
    # Common practice, no source: 0 with O, E with F, R with P are those a plant is warned of.
    reader = LostDropReader(shapes_of(make.demo("upright-9"), DIGITS + CAPITALS))
    assert reader.likeliest("E")[0] == "F"
    assert reader.likeliest("R")[0] == "P"
    assert reader.likeliest("Q")[0] == "O"


@pytest.mark.parametrize("loss", [0.0, 0.02, 0.3])
def test_binomial_tails(loss):
    table = tails(loss, 12)
    for n in range(13):
        for k in range(n + 2):
            terms = (math.comb(n, i) * loss**i * (1 - loss) ** (n - i) for i in range(k, n + 1))
            assert table[n, k] == pytest.approx(sum(terms), rel=1e-12)


@pytest.mark.parametrize("loss", [-0.1, 1.0, float("nan")])
def test_a_loss_that_cannot_be_is_refused(make, loss):
    with pytest.raises(InputError) as caught:
        misread_lost(make.font(A="#"), "A", "A", loss)
    assert [d.code for d in caught.value.diagnostics] == ["bad-loss"]


def test_a_character_the_font_lacks_is_refused(make):
    with pytest.raises(InputError) as caught:
        misread_lost(make.font(A="#"), "B", "AB")
    assert caught.value.diagnostics[0].code == "missing-glyph"

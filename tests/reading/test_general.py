"""The general reader: against prints blurred by scipy, thousands of them, and by hand."""

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter

from rasterc.diagnostics import InputError
from rasterc.reading.general import BLUR, GeneralReader, behind, misread_general
from rasterc.reading.model import CERTAIN
from rasterc.reading.shapes import shapes_of

DIGITS = "0123456789"
PRINTS = 4000
PIXELS = 3  # of a pitch
MARGIN = 6  # pitches of blank around: 4.5 times the widest blur


def blurred(places, size, blur):
    """Points at places, blurred; flat."""
    picture = np.zeros([n * PIXELS for n in size])
    for x, y in places:
        picture[(x + MARGIN) * PIXELS, (y + MARGIN) * PIXELS] += 1
    return gaussian_filter(picture, blur * PIXELS, truncate=6).ravel()


def misread_share(make, font, char, alphabet, loss, blur):
    """How many of many prints fit another character better, and which one: each in every
    alignment."""
    own = sorted(make.drops(font.glyphs[char].columns))
    rivals = sorted(set(alphabet) - {char})
    shapes = {
        r: make.alignments(frozenset(own), make.drops(font.glyphs[r].columns)) for r in rivals
    }
    named = [(r, shape) for r in rivals for shape in shapes[r]]
    size = (
        max(x for _, s in named for x, _ in [*s, *own]) + 2 * MARGIN + 2,
        font.height + 2 * MARGIN,
    )
    pictures = np.stack([blurred(s, size, blur) for s in [own, *(s for _, s in named)]])
    pictures /= np.linalg.norm(pictures, axis=1, keepdims=True)
    drops = np.stack([blurred([place], size, blur) for place in own])
    each = pictures @ drops.T
    kept = np.random.default_rng(11).random((PRINTS, len(own))) >= loss
    best = (kept.astype(float) @ each.T).argmax(axis=1)
    return (best > 0).mean(), [named[i - 1][0] for i in best if i]


@pytest.mark.parametrize(
    ("name", "char", "alphabet", "loss"),
    [
        ("upright-5", "2", DIGITS, 0.1),
        ("upright-7", "8", DIGITS, 0.25),
        ("upright-7", "O", "OQCDGU", 0.15),
        ("upright-9", "6", DIGITS, 0.4),
    ],
)
def test_chances_agree_with_blurred_prints(make, name, char, alphabet, loss):
    font = make.demo(name)
    share, seen = misread_share(make, font, char, alphabet, loss, BLUR)
    ours = GeneralReader(shapes_of(font, alphabet), loss)
    assert 0.05 < share < 0.7
    bracket, error = ours.misread(char), 3.5 * math.sqrt(share * (1 - share) / PRINTS)
    assert bracket.low - error <= share <= bracket.high + error
    assert bracket.high < 3 * bracket.low + 0.1
    commonest = max(set(seen), key=seen.count)
    assert commonest in ours.likeliest(char, 2)


@given(
    st.lists(st.integers(-8, 8), min_size=1, max_size=8),
    st.sampled_from([0.02, 0.1, 0.5]),
)
def test_the_chance_to_fall_behind_is_that_over_all_subsets(parts, loss):
    # With sizes that add up to a power of two every sum falls on a step of the grid.
    parts = [*parts, 128 - sum(map(abs, parts))]
    chance = 0.0
    for kept in product((0, 1), repeat=len(parts)):
        lead = sum(part for part, is_kept in zip(parts, kept, strict=True) if is_kept)
        weight = loss ** kept.count(0) * (1 - loss) ** kept.count(1)
        chance += weight * (1.0 if lead < 0 else 0.5 if lead == 0 else 0.0)
    assert behind(np.array(parts, dtype=float), loss) == pytest.approx(chance)


def test_without_loss_nothing_is_misread(make):
    reader = GeneralReader(shapes_of(make.demo("upright-7"), DIGITS), 0.0)
    assert all(reader.misread(char).high == 0 for char in DIGITS)
    assert reader.likeliest("8") == ()


def test_chances_grow_with_the_loss(make):
    font = make.demo("upright-7")
    found = [misread_general(font, "8", DIGITS, loss).high for loss in (0.0, 0.02, 0.1, 0.3)]
    assert found == sorted(found)
    assert 0 < found[1] < found[-1] < 1


def test_equal_glyphs_are_a_toss_of_a_coin(make):
    font = make.font(O="##/##", Q="##/##", blank="../..")
    assert misread_general(font, "O", "OQ").high == pytest.approx(0.5)
    assert misread_general(font, " ", "OQ ") == CERTAIN
    assert misread_general(font, "O", "O") == CERTAIN


def test_pairs_are_parts_of_the_whole(make):
    reader = GeneralReader(shapes_of(make.demo("upright-7"), DIGITS), 0.1)
    for char in DIGITS:
        pairs = [reader.taken_for(char, rival) for rival in DIGITS if rival != char]
        whole = reader.misread(char)
        assert (whole.low, whole.high) == pytest.approx((max(pairs), sum(pairs)))
        first, *_ = reader.likeliest(char)
        assert reader.taken_for(char, first) == max(pairs)
    with pytest.raises(KeyError):
        reader.taken_for("8", "X")
    with pytest.raises(KeyError):
        reader.misread("X")


def test_what_cannot_be_is_refused(make):
    with pytest.raises(InputError) as caught:
        misread_general(make.font(A="#"), "A", "A", 2.0)
    assert [d.code for d in caught.value.diagnostics] == ["bad-loss"]
    with pytest.raises(InputError):
        misread_general(make.font(A="#"), "B", "A")

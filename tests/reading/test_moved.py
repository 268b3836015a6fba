"""Moved drops: against prints drawn pixel by pixel, thousands of them."""

import math

import numpy as np
import pytest

from rasterc.diagnostics import InputError
from rasterc.reading.model import Bracket
from rasterc.reading.moved import DOT, disc_overlap, misread_moved, moves

DIGITS = "0123456789"
PIXELS = 8  # of a pitch
PRINTS = 800


def drawn(places, size):
    """Discs at places in pitches, on a grid of pixels; their ink adds up."""
    y, x = (np.arange(n * PIXELS) / PIXELS - 3 + 0.5 / PIXELS for n in size)
    picture = np.zeros((len(y), len(x)), dtype=np.float32)
    for cx, cy in places:
        picture += np.hypot(y[:, None] - cy, x - cx) < DOT / 2
    return picture


def misread_share(make, font, char, alphabet, loss, spread, seed):
    """How many of many prints overlap more with another character, each in every alignment."""
    draw = np.random.default_rng(seed)
    own = make.drops(font.glyphs[char].columns)
    rivals = set(alphabet) - {char}
    shapes = [s for r in rivals for s in make.alignments(own, make.drops(font.glyphs[r].columns))]
    width = max(x for s in [own, *shapes] for x, _ in s) + 7
    size = font.height + 7, width
    templates = np.stack([drawn(shape, size).ravel() for shape in [own, *shapes]])
    templates /= np.linalg.norm(templates, axis=1, keepdims=True)
    wrong = 0
    for _ in range(PRINTS):
        kept = [place for place in sorted(own) if draw.random() >= loss]
        landed = [(x + dx, y + dy) for (x, y), (dx, dy) in
                  zip(kept, draw.normal(0, spread, (len(kept), 2)), strict=True)]  # fmt: skip
        scores = templates @ drawn(landed, size).ravel()
        wrong += scores[1:].max() > scores[0]
    return wrong


def wilson(wrong, prints, z=3.5):
    """Wilson's interval of a share (E. B. Wilson, 1927; from memory)."""
    share = wrong / prints
    middle = share + z * z / (2 * prints)
    half = z * math.sqrt(share * (1 - share) / prints + (z / (2 * prints)) ** 2)
    return [(middle + sign * half) / (1 + z * z / prints) for sign in (-1, 1)]


@pytest.mark.parametrize(
    ("char", "alphabet", "loss", "spread"),
    [
        ("8", "0368", 0.1, 0.3),
        ("3", "389", 0.0, 0.3),
        ("2", "123", 0.25, 0.1),
        ("1", "17", 0.4, 0.2),
    ],
)
def test_brackets_agree_with_drawn_prints(make, char, alphabet, loss, spread):
    font = make.demo("upright-5")
    bracket = misread_moved(font, char, alphabet, loss, spread)
    low, high = wilson(misread_share(make, font, char, alphabet, loss, spread, 7), PRINTS)
    assert low <= bracket.high
    assert bracket.low <= high


def test_one_drop_lost_by_hand(make):
    # The overlap is sqrt(2) for the pair and 1 for the one; with a drop lost it is 1/sqrt(2) and 1
    # or, in the alignment over the other drop, the same. Both lost is a tie.
    font = make.font(A="#/./#", B="#/./.")
    chance = misread_moved(font, "A", "AB", 0.1, 0.0)
    assert chance.low == pytest.approx(0.09, rel=1e-6)
    assert chance.high >= 0.1 * 0.9 + 0.01


def test_still_drops_are_read_right(make):
    font = make.demo("upright-7")
    for char in DIGITS:
        assert misread_moved(font, char, DIGITS, 0.0, 0.0).high < 1e-9


def test_chances_grow_with_the_spread(make):
    font = make.demo("upright-7")
    found = [misread_moved(font, "8", DIGITS, 0.02, s) for s in (0.0, 0.1, 0.15, 0.2, 0.3)]
    assert [b.high for b in found] == sorted(b.high for b in found)
    assert all(0 <= b.low <= b.high <= 1 for b in found)


def test_equal_glyphs_cannot_be_told(make):
    font = make.font(O="##/##", Q="##/##", blank="../..")
    alike = misread_moved(font, "O", "OQ")
    assert alike.low < 0.001
    assert alike.high == 1
    assert misread_moved(font, " ", "OQ ") == Bracket(0, 0)
    assert misread_moved(font, "O", "O") == Bracket(0, 0)


def test_overlap_of_discs_against_counted_pixels():
    side = np.linspace(-1, 1, 2001)
    x, y = side[None, :], side[:, None]
    disc = np.hypot(x, y) < 0.5
    for distance in (0.0, 0.2, 0.5, 0.9):
        counted = (disc & (np.hypot(x - distance, y) < 0.5)).sum() / disc.sum()
        assert disc_overlap(distance, 1.0) == pytest.approx(counted, abs=2e-3)


def test_the_grid_of_moves_has_the_spread_asked_for():
    _, weights = moves(0.2)
    along = np.arange(-3.5, 3.6, 0.5) * 0.2
    variance = (weights.reshape(15, 15).sum(axis=1) * along**2).sum()
    assert math.sqrt(variance) == pytest.approx(0.2, rel=0.01)
    assert weights.sum() == pytest.approx(1)


def test_what_cannot_be_is_refused(make):
    with pytest.raises(InputError) as caught:
        misread_moved(make.font(A="#"), "A", "A", 2.0, -1.0)
    assert [d.code for d in caught.value.diagnostics] == ["bad-loss", "bad-spread"]
    assert all(d.help for d in caught.value.diagnostics)
    with pytest.raises(InputError):
        misread_moved(make.font(A="#"), "B", "A")

"""A general reader, which knows nothing of dot fonts, reads our prints.

The library and its models come from outside; `tests/benchmarks/ocr.py` is the long run.
"""

import warnings

import pytest


@pytest.fixture
def tally(outside, reader):
    def take(texts, font, rows, loss):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the reader's libraries may warn
            return outside.take_tally(reader, texts, font, rows, loss, seed=rows)

    return take


def test_the_outside_reader_reads_whole_prints(outside, tally):
    texts = outside.strings(12, seed=1)
    for font, rows in (("upright-9", 9), ("upright-16", 16)):
        found = tally(texts, font, rows, 0.0)
        # It cannot know a capital O from a zero, which only their place tells.
        unclear = sum(n for pair, n in found.confusions().items() if set(pair) == {"O", "0"})
        assert found.printed - found.right - unclear <= 0.02 * found.printed


def test_it_finds_damaged_small_fonts_harder_as_we_foretell(outside, tally):
    from rasterc.fonts.load import load_font
    from rasterc.resources import resource_dir

    texts, loss = outside.strings(8, seed=2), 0.25
    right, chances = [], []
    for name, rows in (("upright-5", 5), ("upright-16", 16)):
        right.append(tally(texts, name, rows, loss).accuracy)
        ours = outside.predicted(load_font(resource_dir("fonts-demo") / f"{name}.bdf").font, loss)
        means = [ours.misread(c).bracket.middle for c in outside.ALPHABET]
        chances.append(sum(means) / len(means))
    assert chances[0] > 2 * chances[1]
    assert right[0] < right[1]


def test_the_general_reader_tells_which_characters_it_mistakes(outside, tally):
    from rasterc.fonts.load import load_font
    from rasterc.reading.general import GeneralReader
    from rasterc.reading.shapes import shapes_of
    from rasterc.resources import resource_dir

    loss, font = 0.35, load_font(resource_dir("fonts-demo") / "upright-9.bdf").font
    found = tally(outside.even_lines(63, seed=3), "upright-9", 9, loss)
    theirs = [found.taken_rate(c) for c in outside.ALPHABET]
    general = GeneralReader(shapes_of(font, outside.ALPHABET), loss)
    ours = [general.misread(c).middle for c in outside.ALPHABET]
    counted = outside.predicted(font, loss)
    plain = [counted.misread(c).bracket.middle for c in outside.ALPHABET]
    # Fourteen of each character: noise takes a good part of what the long run finds.
    assert outside.rank_correlation(ours, theirs) > 0.4
    assert outside.rank_correlation(ours, theirs) > outside.rank_correlation(plain, theirs)


def test_alignment_of_what_was_printed_and_read(outside):
    assert outside.aligned("B8", "88") == [("B", "8"), ("8", "8")]
    assert outside.aligned("L2", "2") == [("L", None), ("2", "2")]
    assert outside.aligned("A1", "AB1") == [("A", "A"), ("1", "1")]


def test_rank_correlation_by_hand(outside):
    # Two of five ranks change places: 1 - 6 * 2 / (5 * 24) (Spearman's formula without ties).
    assert outside.rank_correlation([1, 2, 3, 4, 5], [1, 2, 3, 5, 4]) == pytest.approx(0.9)
    assert outside.rank_correlation([1, 2, 2, 3], [10, 20, 20, 30]) == pytest.approx(1)

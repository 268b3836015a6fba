"""Counters and inputs searched character by character, held against listing all their texts."""

import re
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.domain.counterwords import CounterWords
from rasterc.domain.inputwords import InputWords, OneLength, input_words, stands_alone
from rasterc.domain.words import Count
from rasterc.source.declarations import Counter, Input
from rasterc.values.given.counters import text_of
from rasterc.values.given.inputs import input_rule


def walked(words):
    """All texts, by following the moves of sets of states."""
    texts = []
    for length in words.lengths():
        todo = [("", 1 << words.start(length))]
        while todo:
            text, states = todo.pop()
            left = length - len(text)
            if left == 0:
                texts += [text] if states & words.ends() else []
                continue
            layer = words.layer(left)
            after = {char: layer.step(states, labels) for char, labels in layer.chars.items()}
            todo += [(text + char, to) for char, to in after.items() if to]
    return texts


counters = st.builds(
    lambda first, span, step, base, down: _counter(first, span, step, base, down),
    st.integers(0, 300),
    st.integers(0, 300),
    st.integers(1, 40),
    st.sampled_from(["0123456789", "01", "ABCDEFGHJK", "0123456789ABCDEF"]),
    st.booleans(),
)


def _counter(first, span, step, digits, down):
    ends = (first + span, first) if down else (first, first + span)
    return Counter("c", *ends, None, step=step, digits=digits)


@given(counter=counters, zeros=st.booleans())
def test_a_counter_has_the_texts_of_its_values(counter, zeros):
    words = CounterWords(counter, zeros)
    expected = [text_of(counter, value) for value in sorted(counter.values)]
    if zeros:
        width = max(map(len, expected))
        expected = [text.rjust(width, counter.digits[0]) for text in expected]
    assert sorted(walked(words)) == sorted(expected)
    assert list(words.texts()) == expected
    assert words.count().number == len(expected)
    assert [words.value(text) for text in expected] == sorted(counter.values)


PATTERNS = ("[AB]{2}[0-2]", "(A|BB)?C*", "[^AB]{1,2}", "A{0,3}B|C", "AB|BA|A[AB]", "(AB)+")


@pytest.mark.parametrize("pattern", PATTERNS)
def test_an_input_has_the_texts_of_its_pattern(pattern):
    # Python's re is the reference for what a pattern matches
    rule, faults = input_rule(Input("i", None, pattern, max_length=4))
    assert not faults
    words = input_words(rule, "ABC012")
    texts = ("".join(some) for n in range(5) for some in product("012ABC", repeat=n))
    expected = [text for text in texts if re.fullmatch(pattern, text)]
    assert list(words.texts()) == expected
    assert sorted(walked(words)) == sorted(expected)
    assert words.count().number == len(expected)


@pytest.mark.parametrize("pattern", ["(A|AB|B)*C?", "[AB]*A[AB]{2}", "(A|AA)+"])
def test_a_count_beyond_its_budget_is_a_bound(monkeypatch, pattern):
    rule, _ = input_rule(Input("i", None, pattern, max_length=6))
    exact = input_words(rule, "ABC").count()
    assert exact == Count(len(list(input_words(rule, "ABC").texts())))
    monkeypatch.setattr("rasterc.domain.words.MAX_STEPS", 2)
    bound = input_words(rule, "ABC").count()
    assert not bound.exact
    assert exact.number <= bound.number


def test_without_a_pattern_all_characters_of_the_fonts_are_looked_at():
    rule, _ = input_rule(Input("i", None, min_length=1, max_length=2))
    words = input_words(rule, filter(stands_alone, "AB\u0301"))  # an accent does not
    assert list(words.texts()) == ["A", "B", "AA", "AB", "BA", "BB"]
    assert isinstance(words, InputWords)
    assert not words.whole


def test_choices_are_listed_in_order():
    rule, _ = input_rule(Input("i", None, choices=("BB", "A", "AB")))
    words = input_words(rule, "")
    assert list(words.texts()) == ["A", "AB", "BB"]
    assert sorted(walked(words)) == ["A", "AB", "BB"]
    one = OneLength(words, 2)
    assert list(one.texts()) == walked(one)[::-1] == ["AB", "BB"]
    assert one.count().number == 2


DECLARED = """
  counter big from 7 to 123456789008, step 7
  counter plain from 95 to 1205
  counter hex from 0 to 300, base 16
  input lot matching "[A-Z]{2}(X|[0-9]{3})"
"""


@pytest.mark.parametrize(
    ("line", "name"),
    [
        ("plain", "plain"), ("plain(0000)", "plain"), ("plain(0000, blanks)", "plain"),
        ('plain(pad 6 right ".")', "plain"), ("plain(last 2)", "plain"),
        ("plain(0000, first 3, last 2)", "plain"), ('"I" plain(from 2 to 2) plain', "plain"),
        ("hex(lower)", "hex"), ("hex(000, lower, first 2)", "hex"),
    ],
)  # fmt: skip
def test_fields_of_a_counter_are_those_of_listing_it(brute, line, name):
    from rasterc.extremes.report import extremes_within

    code = brute.code_of(DECLARED, f"line: {line}")
    seen = brute.every_value(code, None, {})
    report = extremes_within(code.plan, code.fonts, brute.stretch("2027-01-01", 1))
    for measure, extreme in report.by_name.items():
        expected = brute.best_of(seen, measure)
        assert (extreme.value, extreme.exact) == (expected.measures[measure], True), measure
        if measure not in ("lowest", "highest"):  # whose witness need not be the first
            assert extreme.witness.instant.counters == {name: expected.instant.counters[name]}
    assert report.strings.number == len({one.lines for one in seen})


def test_a_large_counter_with_a_step_is_searched_not_listed(brute):
    from rasterc.extremes.report import extremes

    code = brute.code_of(DECLARED, "line: big(000000000000)")
    report = extremes(code.plan, code.fonts, _first_day())
    assert report.strings.number == len(code.message.counters["big"].values)
    most = report.by_name["most-drops"]
    value = most.witness.instant.counters["big"]
    assert value in code.message.counters["big"].values
    glyphs = code.fonts["upright-7"].glyphs
    drops = {digit: glyphs[digit].drops for digit in "0123456789"}
    assert most.value == sum(drops[digit] for digit in f"{value:012}")
    # no value found by chance has more
    chance = np.random.default_rng(7).integers(0, 123456789012 // 7, 20_000) * 7 + 7
    tried = [v for v in chance.tolist() if v <= 123456789008]
    assert max(sum(drops[digit] for digit in f"{v:012}") for v in tried) <= most.value


def _first_day():
    from datetime import date

    return date(2027, 1, 1)

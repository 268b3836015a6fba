"""What is asked of the texts of a counter or an input, against going through them all."""

from __future__ import annotations

import re
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.domain.chosen import Chosen
from rasterc.domain.counterwords import CounterWords
from rasterc.domain.inputwords import InputWords, ListedWords, input_words
from rasterc.domain.templates import template_of
from rasterc.domain.weighing import extreme
from rasterc.source.declarations import Counter, Input
from rasterc.values.given.inputs import input_rule

ALPHABET = "AB019"
EVERY = ["".join(some) for n in range(5) for some in product(ALPHABET, repeat=n)]
PATTERNS = ("[AB]{2}[019]", "(A|BB)?0*", "A{0,3}B|9", "AB|BA|A[AB]", "(A0|1)+", "[^B]{1,3}")


@st.composite
def words_and_texts(draw):
    """The texts of a counter, a pattern or choices, and the list of them."""
    kind = draw(st.sampled_from(["counter", "pattern", "choices"]))
    if kind == "counter":
        first, span = draw(st.integers(0, 120)), draw(st.integers(0, 900))
        last, step = first + span, draw(st.integers(1, 30))
        ends = (last, first) if draw(st.booleans()) else (first, last)
        counter = Counter("c", *ends, None, step=step, digits=draw(st.sampled_from(["0123456789"])))
        words = CounterWords(counter, zeros=draw(st.booleans()))
        texts = [str(value) for value in counter.values]
        wide = max(map(len, texts)) if words.zeros else 0
        return words, {text.rjust(wide, "0") for text in texts}
    if kind == "pattern":
        pattern = draw(st.sampled_from(PATTERNS))
        rule, _ = input_rule(Input("i", None, pattern, max_length=4))
        return InputWords.of(rule, ALPHABET), {t for t in EVERY if re.fullmatch(pattern, t)}
    chosen = draw(st.sets(st.sampled_from(EVERY), min_size=1, max_size=12))
    return ListedWords(tuple(sorted(chosen, key=lambda text: (len(text), text)))), chosen


templates = st.lists(
    st.one_of(st.none(), st.frozensets(st.sampled_from(ALPHABET), min_size=1)), max_size=5
).map(tuple)


def fits(text: str, template) -> bool:
    return len(text) == len(template) and all(
        place is None or char in place for char, place in zip(text, template, strict=True)
    )


@settings(max_examples=150, deadline=None)
@given(words_and_texts(), templates, st.sampled_from(EVERY))
def test_what_fits_what_is_one_of_them_and_what_stands_where(pair, template, other):
    words, texts = pair
    expected = sorted(text for text in texts if fits(text, template))
    assert words.can_fit(template) == bool(expected)
    assert sorted(words.fitting(template)) == expected
    listing = words.listing(template)
    assert sorted(listing) == expected if listing is not None else None in template
    assert words.holds(other) == (other in texts)
    assert all(map(words.holds, sorted(texts)[:20]))
    places = words.places()
    assert len(places) == max(map(len, texts), default=0)
    for at, chars in enumerate(places):
        assert chars == {text[at] for text in texts if len(text) > at}


@settings(max_examples=100, deadline=None)
@given(words_and_texts(), st.lists(st.integers(-9, 9), min_size=24, max_size=24))
def test_the_heaviest_and_the_lightest_by_any_weight(pair, weights):
    words, texts = pair

    def weight(place: int, char: str) -> int:
        return weights[(place * 5 + ord(char)) % len(weights)]

    def weighs(text: str) -> int:
        return sum(weight(at, char) for at, char in enumerate(text))

    for sense in (1, -1):
        value, text = extreme(words, weight, sense)
        assert value == sense * max(sense * weighs(one) for one in texts)
        first = min((t for t in texts if weighs(t) == value), key=lambda t: (len(t), t))
        assert text == first


@settings(max_examples=100, deadline=None)
@given(words_and_texts(), st.lists(templates, max_size=3), st.lists(templates, max_size=3))
def test_what_two_choices_have_in_common(pair, some, more):
    words, texts = pair
    one, other = Chosen.fitting(words, some), Chosen.fitting(words, more)
    listed = Chosen(words, (), frozenset(t for t in texts if any(fits(t, m) for m in more)))
    expected = {
        text for text in texts
        if any(fits(text, t) for t in some) and any(fits(text, t) for t in more)
    }  # fmt: skip
    for both in (one.meet(other), other.meet(one), one.meet(listed), listed.meet(one)):
        assert both.is_empty() == (not expected)
        assert all((text in expected) == both.holds(text) for text in texts)
        if not isinstance(words, InputWords) or both.listed is not None:
            assert both.texts(len(EVERY)) == sorted(expected)


@pytest.mark.parametrize(
    ("pattern", "read", "possible"),
    [
        (".{2}", "Ж?", True), ("[^A]B", "Ω?", True), ("[^A]B", "AB", False), (".", "\x07", False),
        ("[A-Z]{3}", "??", False), ("[a-z]+", "Ж", False), ("(Ж|Ω)+1", "??1", True),
    ],
)  # fmt: skip
def test_characters_that_nobody_listed(pattern, read, possible):
    """Python's re over the text, with any letter for what was not read."""
    rule, _ = input_rule(Input("i", None, pattern, max_length=4))
    words = input_words(rule, None)
    assert words.can_fit(template_of(read)) == possible
    some = (read.replace("?", char) for char in "ABZaЖΩ1")
    assert possible == any(re.fullmatch(pattern, text) and text.isprintable() for text in some)
    assert "Ж" in rule.input.pattern or words.allows("Ж") == bool(re.search(r"\.|\^", pattern))

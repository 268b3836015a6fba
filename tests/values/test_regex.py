"""Input patterns against Python's own regular expressions."""

import re
import time
import warnings

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.values import prepare
from rasterc.values.given.automaton import TooLargeError, build_automaton
from rasterc.values.given.characters import is_printable
from rasterc.values.given.regex import parse_regex

LETTERS = "abcAB01-]^ é"


def escaped(char):
    return "\\" + char if char in "[](){}.?*+|\\^$" else char


def in_class(char):
    return "\\" + char if char in "[]\\^-" else char


CHARS = st.sampled_from(LETTERS)
RANGES = st.tuples(CHARS, CHARS).map(lambda pair: "-".join(map(in_class, sorted(pair))))
CLASSES = st.builds(
    lambda negated, items: f"[{'^' if negated else ''}{''.join(items)}]",
    st.booleans(),
    st.lists(st.one_of(CHARS.map(in_class), RANGES, st.just("\\d")), min_size=1, max_size=3),
)
ATOMS = st.one_of(CHARS.map(escaped), CLASSES, st.sampled_from([".", "\\d", "()"]))
MARKS = st.sampled_from(["", "", "", "?", "*", "+", "{2}", "{0,2}", "{1,}", "{1,3}"])


def grow(patterns):
    return st.one_of(
        st.lists(patterns, min_size=1, max_size=3).map("".join),
        st.tuples(patterns, patterns).map("|".join),
        st.tuples(patterns, MARKS).map(lambda pair: f"({pair[0]}){pair[1]}"),
    )


PATTERNS = st.recursive(st.tuples(ATOMS, MARKS).map("".join), grow, max_leaves=6)


@settings(max_examples=300)
@given(pattern=PATTERNS, data=st.data())
def test_matches_what_python_matches(pattern, data):
    tree, faults = parse_regex(pattern)
    assert faults == []
    automaton = build_automaton(tree)
    theirs = re.compile(pattern, re.ASCII)
    texts = st.one_of(st.text(LETTERS, max_size=8), st.from_regex(theirs, fullmatch=True))
    # Short texts only: Python's matcher takes exponential time on some of these patterns.
    text = data.draw(texts.filter(lambda text: len(text) <= 8 and all(map(is_printable, text))))
    assert automaton.matches(text) == bool(theirs.fullmatch(text))


@pytest.mark.parametrize("pattern", [".", "[^a]"])
def test_any_character_is_a_printable_one(pattern):
    automaton = build_automaton(parse_regex(pattern)[0])
    texts = ["x", " ", "é", "\u00a0", "\n", "\t", "\u2028", "\u200b", "\x7f"]
    assert [automaton.matches(text) for text in texts] == [True] * 4 + [False] * 5


@pytest.mark.parametrize("pattern", ["(a*)*b", "(a|a)*b", "(a|aa)+b", "(a?){64}a{64}"])
def test_nothing_blows_up(pattern):
    automaton = build_automaton(parse_regex(pattern)[0])
    start = time.process_time()
    assert not automaton.matches("a" * 2000)
    assert time.process_time() - start < 10  # no source may take longer; backtracking takes years


def test_states_that_multiply_are_refused(make):
    with pytest.raises(TooLargeError):
        build_automaton(parse_regex("(((a{64}){64}){64}){64}")[0])
    _, faults = prepare(make.message(inputs=[make.input("lot", "((a{64}){64}){64}")]))
    assert [fault.code for fault in faults] == ["bad-input-pattern"]


FAULTS = [
    ("[A-Z", "[", "not closed"),
    ("ab(c", "(", "not closed"),
    ("ab)c", ")", "cannot stand here"),
    ("[]", "[]", "no characters"),
    ("[z-a]", "z-a", "backwards"),
    ("[\\d-z]", "\\d-z", "no end of a range"),
    ("[0-\\d]", "0-\\d", "no end of a range"),
    ("*a", "*", "cannot stand here"),
    ("a**", "*", "after a repeat mark"),
    ("a+?", "?", "after a repeat mark"),
    ("a{3,2}", "{3,2}", "from 3 to 2"),
    ("a{99}", "{99}", "more than 64"),
    ("a{x}", "{x}", "not a number"),
    ("a{,3}", "{,3}", "not a number"),
    ("^a", "^", "cannot stand here"),
    ("a$", "$", "cannot stand here"),
    ("\\w", "\\w", "not known"),
    ("a\\", "\\", "nothing follows"),
    ("(?:a)", "(?:", "no marks"),
    ("a}", "}", "cannot stand here"),
    ("a\u0007", "\u0007", "cannot be printed"),
]


@pytest.mark.parametrize(("pattern", "place", "words"), FAULTS)
def test_faults_and_their_places(pattern, place, words):
    _, faults = parse_regex(pattern)
    assert len(faults) == 1
    assert words in faults[0].message
    assert pattern[faults[0].start : faults[0].end].startswith(place)
    assert faults[0].help or "cannot be printed" in faults[0].message


def test_all_faults_are_found():
    _, faults = parse_regex("a**[z-a]{99}\\w)")
    assert len(faults) == 5


def test_places_count_the_escapes_of_the_quoted_text(make):
    r"""In the source "\"\u{41}[z-a]" the pattern is "A[z-a], nine characters later."""
    place = make.span(r'"\"\u{41}[z-a]"')
    declared = make.input("lot", '"A[z-a]')
    from msgspec import structs

    _, faults = prepare(make.message(inputs=[structs.replace(declared, pattern_span=place)]))
    assert [fault.span.text for fault in faults] == ["z-a"]


@settings(max_examples=500)
@given(st.text("ab[](){}.?*+|\\^$-0129,d", max_size=30))
def test_any_text_gives_a_tree_or_faults(pattern):
    tree, faults = parse_regex(pattern)
    if not faults:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", FutureWarning)  # "[[" may mean more one day
            re.compile(pattern)  # what we accept, Python accepts
        try:
            build_automaton(tree)
        except TooLargeError:
            assert "{" in pattern


def test_deep_groups_are_refused():
    _, faults = parse_regex("(" * 500 + ")" * 500)
    assert "deeper" in faults[0].message

"""Splitting arguments and words, and escapes against Python's own reading of them."""

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from rasterc.diagnostics import SourceText, Span
from rasterc.source.quoting import quoted_word, split_arguments


def split(text):
    problems = []
    source = SourceText("x", text)
    arguments = split_arguments(Span(source, 0, len(text)), problems)
    assert problems == []
    return [(a.raw, [(w.text, w.quoted) for w in a.words]) for a in arguments]


def test_commas_between_quotes_do_not_split():
    assert split("()") == split("( )") == []
    assert split("(dd', 'MM , pad 3 left \",\")") == [
        ("dd', 'MM", [("dd', 'MM", False)]),
        ('pad 3 left ","', [("pad", False), ("3", False), ("left", False), (",", True)]),
    ]
    assert split("(h 'o''clock')")[0][1] == [("h", False), ("'o''clock'", False)]


def test_spans_of_words_are_exact():
    text = '( upper,  pad 3  left "0" )'
    arguments = split_arguments(Span(SourceText("x", text), 0, len(text)), [])
    assert [a.span.text for a in arguments] == ["upper", 'pad 3  left "0"']
    assert [w.span.text for w in arguments[1].words] == ["pad", "3", "left", '"0"']


PRINTABLE = st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp"))


def escaped(char):
    """A character in each way it can be written."""
    name = unicodedata.name(char, "")
    ways = [f"\\u{{{ord(char):X}}}"] + ([f"\\N{{{name}}}"] if name else [])
    return st.sampled_from([*ways, f"\\{char}" if char in '"\\' else char])


@given(st.lists(PRINTABLE.flatmap(lambda c: escaped(c).map(lambda way: (c, way))), max_size=8))
def test_every_way_to_write_a_character_reads_the_same(chars):
    text = '"' + "".join(way for _, way in chars) + '"'
    problems = []
    word = quoted_word(Span(SourceText("x", text), 0, len(text)), problems)
    assert problems == []
    assert word.text == "".join(char for char, _ in chars)
    assert word.quoted

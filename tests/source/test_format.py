"""The canonical form: same meaning, nothing lost, nothing more to change."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.source import parse_messages
from rasterc.source.formatting.format import WIDTH, format_text

BEFORE = """\
# first


# second
use   "a.rasterc" # why
message   m{raster 16 font upright-7
# about the clock
clock packed in "Europe/Dublin" ,day from 6:00   # trailing


clock best=packed+9 months to month end,short month carry
shift crew of packed { # the crew
"A" from 06:00 on mon to fri,sun "B" from 14:00 # late
# last
}
counter case from 1 to 99, at end stop, step 2, restart daily
  of packed
table quarter every 15 minutes of hour {"A" "B" "C" "D"}
table month { 1->"A" other->"B" }
input i default "x", length 1
block gap 3{line inverse row 8 font x:best(MMM yyyy,upper) "  A  "}
block {
  picture "a.pbm"   # a leaf
}
text long = "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa" "bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb" # inside
  "cccccccccccccccccccccccccccccccc" case(00) # after
expect case 3,at 2028-02-29 5:59 +01:00 {"A" "B"}
require length<=60 mm } # end
# very last
"""

AFTER = """\
# first

# second
use "a.rasterc"  # why
message m {
  raster 16
  font upright-7
  # about the clock
  clock packed in "Europe/Dublin", day from 06:00  # trailing

  clock best = packed + 9 months to month end, short month carry
  shift crew of packed {  # the crew
    "A" from 06:00 on mon to fri, sun
    "B" from 14:00  # late
    # last
  }
  counter case from 1 to 99, step 2, restart daily of packed, at end stop
  table quarter every 15 minutes of hour { "A" "B" "C" "D" }
  table month {
    1 -> "A"
    other -> "B"
  }
  input i length 1, default "x"
  block gap 3 { line font x row 8 inverse: best(MMM yyyy, upper) "  A  " }
  block {
    picture "a.pbm"  # a leaf
  }
  # inside
  text long = "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa" "bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb"
      "cccccccccccccccccccccccccccccccc" case(00)  # after
  expect at 2028-02-29 05:59+01:00, case 3 {
    "A"
    "B"
  }
  require length <= 60 mm
}  # end
# very last
"""


def test_the_form():
    assert format_text(BEFORE) == AFTER


@pytest.mark.parametrize("text", [BEFORE, AFTER, AFTER.replace("\n", "\r\n")])
def test_formatting_again_changes_nothing(text):
    assert format_text(format_text(text)) == format_text(text) == AFTER


def test_empty_files():
    assert format_text("") == format_text("\n \n") == ""
    assert format_text("message m { }") == "message m {}\n"
    assert format_text("# only") == "# only\n"


def test_a_text_that_does_not_parse_is_refused_with_all_its_faults():
    with pytest.raises(InputError) as caught:
        format_text('clok a in "x"\nclock b from 3\n', "bad.rasterc")
    assert len(caught.value.diagnostics) == 2
    assert caught.value.diagnostics[0].span.source.name == "bad.rasterc"


def test_statements_are_broken_at_the_width_but_texts_are_not():
    pieces = " ".join(f'"{n:030}"' for n in range(12))
    text = format_text(f'message m {{ block {{ line: {pieces} "{"x" * 200}" }} }}')
    long = [line for line in text.splitlines() if len(line) > WIDTH]
    assert [line.strip() for line in long] == ['"' + "x" * 200 + '"']


# -- any message ---------------------------------------------------------------------------------
# Words of a message as a list, with marks where a blank or comment may stand, made from the shape
# of the grammar.

NAME = st.sampled_from(["packed", "best", "crew", "case", "lot", "t-1", "größe"])
NUMBER = st.sampled_from(["1", "2", "07", "15"])
TEXT = st.sampled_from(['"A"', '""', '"# no comment"', r'"\"{"', '"a b"', '"' + "w" * 70 + '"'])
ARGUMENTS = st.sampled_from(["", "(MMM yyyy)", "(dd'#, ' , upper)", '(pad 3 left "#")', "( 00 )"])
PIECE = st.one_of(TEXT, st.builds("{}{}".format, NAME, ARGUMENTS))
PIECES = st.lists(PIECE, min_size=1, max_size=6)


def words(*parts):
    """A strategy for the words of parts: fixed words and strategies of words or lists of them."""
    drawn = [st.just(p) if isinstance(p, str) else p for p in parts]
    return st.tuples(*drawn).map(
        lambda got: [w for g in got for w in ([g] if isinstance(g, str) else g)]
    )


def many(strategy, least=0, most=3):
    return st.lists(strategy, min_size=least, max_size=most).map(
        lambda got: [word for words in got for word in words]
    )


DECLARATION = st.one_of(
    words(
        "clock", NAME, "in", '"Europe/Dublin"', st.sampled_from([[], [",", "day", "from", "6:00"]])
    ),
    words(
        *("clock", NAME, "=", NAME),
        many(
            st.one_of(
                words(st.sampled_from("+-"), NUMBER, "days"),
                words("to", "month", "end"),
                words("to", "friday"),
            )
        ),
        st.sampled_from([[], [",", "short", "month", "carry"]]),
    ),
    words(
        *("shift", NAME, "of", NAME, "{"),
        many(words(TEXT, "from", "06:00", st.sampled_from([[], ["on", "mon", "to", "fri"]]))),
        "}",
    ),
    words(
        *("counter", NAME, "from", "1", "to", "9"),
        many(
            st.sampled_from(
                [[",", "step", "2"], [",", "at", "end", "wrap"], [",", "each", "2", "times"]]
            )
        ),
    ),
    words("input", NAME, "default", TEXT, ",", "length", NUMBER),
    words("table", NAME, "{", many(words(st.one_of(NUMBER, TEXT), "->", TEXT)), "}"),
    words("table", NAME, "from", "1", "{", many(words(TEXT), most=8), "}"),
    words("text", NAME, "=", PIECES),
    words("check", NAME, "=", "luhn", "of", PIECES),
)
LINE = words(
    "line",
    many(st.sampled_from([["inverse"], ["row", "8"], ["font", "x"], ["font", '"a.bdf"']]), most=2),
    ":",
    st.lists(PIECE, max_size=6),
)
STATEMENT = st.one_of(
    words("raster", "16"),
    words("font", "upright-7"),
    DECLARATION,
    words("block", st.sampled_from([[], ["gap", "3"]]), "{", many(LINE), "}"),
    words("block", "{", "picture", '"a.pbm"', "inverse", "}"),
    words("require", "length", "<=", "60", "mm"),
    words("silence", NAME, "because", TEXT),
    words("block", "{", LINE, words("silence", NAME, "because", TEXT), "}"),
    words("expect", "case", "3", ",", "at", "2028-02-29", "05:59", "{", many(words(TEXT)), "}"),
)
FILE = many(
    st.one_of(
        words("use", '"a.rasterc"'), DECLARATION, words("message", NAME, "{", many(STATEMENT), "}")
    )
)
GAP = st.sampled_from([" ", "\n", "\n\n\n", " # c{}\n", "\n# c{} \n", "\n\n  # c{}\r\n\n"])


@st.composite
def files(draw):
    """A text that parses, with numbered comments anywhere."""
    parts = []
    for number, word in enumerate(draw(FILE)):
        parts += [word, draw(GAP).format(number)]
    return "".join(parts)


def comments(text):
    return re.findall(r"# c\d+", text)


@settings(max_examples=150, deadline=None)
@given(files())
def test_any_file_keeps_its_meaning_and_comments(text):
    formatted = format_text(text)
    assert format_text(formatted) == formatted
    assert comments(formatted) == comments(text)
    assert not re.search(r"[ \t]\n|\n\n\n|\r", formatted)


@settings(max_examples=150, deadline=None)
@given(files())
def test_any_file_keeps_its_tree(meaning, text):
    from rasterc.diagnostics import SourceText
    from rasterc.source.parse import parse

    def tree(text):
        return meaning(parse(SourceText("x", text)).file.items)

    before, after = tree(text), tree(format_text(text))
    assert _in_any_order(before) == _in_any_order(after)


def _in_any_order(tree):
    """The tree with options and attributes sorted, hours padded and argument blanks left out."""
    if isinstance(tree, dict):
        return {key: _in_any_order(value) for key, value in tree.items()}
    if isinstance(tree, list):
        items = [_in_any_order(item) for item in tree]
        kinds = {item["is"] for item in items if isinstance(item, dict)}
        loose = kinds <= {"Phrase", "Word", "Moment", "Given"}
        return sorted(items, key=repr) if loose else items
    return "06:00" if tree == "6:00" else tree


def test_a_whole_message_means_the_same(meaning):
    text = BEFORE.partition("why\n")[2]
    text = text.replace("upright-7", "upright-7 counter c from 1 to 9", 1)
    before, found = parse_messages(text, folder=".")
    after, found_after = parse_messages(format_text(text), folder=".")
    assert found == found_after == []
    assert meaning(before) == meaning(after)


def test_blanks_of_word_processors_become_plain_ones():
    odd = (
        "message\u00a0m {\u2009raster\u202f7\u00a0# why\n"
        '\u00a0 font\u3000upright-7 block { line: "A\u00a0B" } }'
    )
    plain = odd.replace("\u2009", " ").replace("\u202f", " ").replace("\u3000", " ")
    plain = plain.replace("\u00a0", " ").replace("A B", "A\u00a0B")
    assert format_text(odd) == format_text(plain)

"""Recovery, limits and speed of the parser; spans of the tree."""

import subprocess
import sys
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.diagnostics import SourceText
from rasterc.source import parse_messages
from rasterc.source.parse import MAX_FAULTS, MAX_SOURCE_BYTES, MAX_WORDS, parse

GOOD = """\
use "common.rasterc"
# the bottle
message elderflower {
  raster 16
  font upright-7
  language de
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 9 months - 1 day to month end, short month carry
  clock began = start of crew
  clock fixed = 2027-01-31 to next friday
  shift crew of packed { "A" from 06:00 on mon to fri, sun  "B" from 14:00 }
  counter case from 9 down to 1, step 2, restart daily of packed
  input lot matching "[A-Z]{2}[0-9]{4}", default "AB1234"
  table month { 1 -> "A"  "X" -> "B"  other -> "C" }
  table hour from 0, letters "ABC"
  table quarter every 15 minutes of hour { "A" "B" "C" "D" }
  text serial = "L" lot case(0000)
  check digit = luhn of case(000000)
  block gap 3 {
    line font tall-9 row 2 align right: "BEST " best('o''clock' MMM, upper, table month)
    line row 1:
  }
  block { picture "leaf.pbm" row 2 inverse }
  require length <= 60.5 mm
  expect at 2028-02-29 05:59+01:00, case 9, lot "AB1234" { "A" "B" }
}
"""


def faults(text):
    return parse_messages(text, "m.rasterc")[1]


def test_good_text_has_no_fault():
    assert parse(SourceText("m", GOOD)).diagnostics == ()


def test_five_mistakes_give_five_diagnostics():
    text = """\
message elderflower {
  raster 16
  clok packed in "Europe/Dublin"
  clock best = packed + months
  counter case from 1 to 9 restart daily
  input lot matching "[A-Z]
  block {
    line font upright-7: "BEST " best(MMM (yyyy))
  }
}
"""
    found = faults(text)
    assert [(d.span.line, d.code) for d in found] == [
        (3, "unknown-word"),
        (4, "syntax"),
        (5, "syntax"),
        (6, "unclosed-text"),
        (8, "unclosed-parenthesis"),
    ]
    assert found[0].help == 'did you mean "clock"?'


@pytest.mark.parametrize(
    ("text", "code", "message"),
    [
        ("message m { raster 16", "unclosed-brace", 'the "{" of message m in line 1'),
        ("message m {\n block gap 2 {", "unclosed-brace", 'the "{" of block gap 2 in line 2'),
        ("message m { raster", "syntax", "the text ends where a name, a number or a text"),
        ("message", "syntax", "the text ends where a name is expected"),
    ],
)
def test_unexpected_end_points_at_the_end(text, code, message):
    (fault,) = faults(text)
    assert fault.code == code
    assert message in fault.message
    assert (fault.span.start, fault.span.end) == (len(text), len(text))


@pytest.mark.parametrize(
    "ends", ["LOT packed(yy) }\n}", "LOT packed(yy)\n  }\n}", "LOT packed(yy) } }"], ids=len
)
def test_an_unclosed_text_takes_no_brace_that_is_needed(ends):
    head = 'message m {\n raster 7 font upright-7\n clock packed in "UTC"\n block {\n line: "'
    (fault,) = faults(head + ends)
    assert fault.code == "unclosed-text"


def test_mistakes_in_names_do_not_hide_behind_syntax_errors():
    text = GOOD.replace("clock fixed = 2027", "clock fixed 2027").replace("best(", "bets(")
    codes = [d.code for d in faults(text.partition("\n")[2])]
    assert codes == ["syntax", "unknown-name"]


def test_names_of_unreadable_statements_are_not_unknown():
    text = GOOD.partition("\n")[2].replace('clock packed in "', "clock packed at ")
    assert {d.code for d in faults(text)} <= {"syntax", "unclosed-text"}


def test_every_node_spans_its_statement():
    parsed = parse(SourceText("m", GOOD))
    (message,) = parsed.file.messages
    first_words = [node.span.text.split()[0] for node in message.body]
    assert " ".join(first_words) == (
        "raster font language clock clock clock clock shift counter input table table table text "
        "check block block require expect"
    )
    assert message.span.text.startswith("message elderflower {")
    assert message.span.text.endswith("}")
    line = message.body[15].content[0]
    assert line.pieces[0].span.text == '"BEST "'
    argument = line.pieces[1].arguments
    assert [a.raw for a in argument] == ["'o''clock' MMM", "upper", "table month"]
    assert [a.span.text for a in argument] == [a.raw for a in argument]
    assert [w.text for w in argument[2].words] == ["table", "month"]


def test_option_words_are_no_reserved_words():
    text = """\
message from {
  raster 16
  clock in in "Europe/Dublin", day from 06:00
  clock to = in to month end
  counter of from 1 to 9
  input at length 1
  input day length 1
  input start length 1
  input month length 1
  text row = in(dd) to(dd) of at day start month
  block { line font font: row }
  block { line font font row 2: row }
}
"""
    assert faults(text) == []


@pytest.mark.parametrize("ending", ["\r\n", "\n"])
def test_line_ends_of_either_kind(ending):
    assert parse(SourceText("m", "\ufeff" + GOOD.replace("\n", ending))).diagnostics == ()


@pytest.mark.parametrize("text", ["a\x00b", "\ud800"])
def test_what_is_no_text_is_refused(text):
    assert [d.code for d in faults(text)] == ["not-text"]


def test_large_text_is_refused():
    assert [d.code for d in faults("#" * (MAX_SOURCE_BYTES + 1))] == ["too-large"]
    assert [d.code for d in faults("é" * (MAX_SOURCE_BYTES // 2 + 1))] == ["too-large"]


def test_many_mistakes_end_in_one_that_says_so():
    found = faults("clok a\n" * 500)
    assert len(found) == MAX_FAULTS + 1
    assert found[-1].code == "too-many-errors"
    found = faults("text x = " + " ".join(f"nobody-{i}" for i in range(500)))
    assert len(found) == MAX_FAULTS + 1
    assert found[-1].code == "too-many-errors"


HEAD = "message m {\n raster 16\n font x\n"
HUGE = {
    "braces": "{",
    "closing": "}",
    "messages": "message a {\n",
    "blocks": "block {\n",
    "whole messages": HEAD + 'block { line: "A" } }\n',
    "quotes": '"\n',
    "parentheses": "text x = a(\n",
    "statements": "line\n",
    "slips": "clok a\n",
    "binary": "\x01\x02;@",
    "digits": "9",
    "one name": "a",
    "comments": "#\n",
    "blank": " \n",
}
HUGE_INSIDE = {
    "texts": (HEAD + "block { line: ", '"" ', "} }"),
    "fields": (HEAD + 'text x = "A"\n block { line: ', "x ", "} }"),
    "unknown": (HEAD + "block { line: ", "y ", "} }"),
    "rows": (HEAD + "table t {", '1 -> "A"\n', "} block { line: } }"),
    "choices": (HEAD + "input i one of", ' "A"', " block { line: } }"),
    "options": (HEAD + "counter c from 1 to 9", ", step 1", "}"),
    "commas": (HEAD + "text x = a(", ",", ")\n}"),
    "escapes": ('use "', "\\q", '"'),
    "steps": (HEAD + "clock x = x", " + 1 day", "}"),
    "attributes": (HEAD + "block { line ", "gap ", ": } }"),
}


@pytest.mark.parametrize("name", [*HUGE, *HUGE_INSIDE])
def test_no_text_up_to_the_limit_takes_long(name):
    before, unit, after = HUGE_INSIDE.get(name) or ("", HUGE[name], "")
    room = MAX_SOURCE_BYTES - len(before) - len(after)
    text = before + unit * (room // len(unit)) + after
    started = time.process_time()
    found = faults(text)
    assert time.process_time() - started < 10
    assert len(found) <= MAX_FAULTS + 1
    assert bool(found) == (name not in ("comments", "blank"))


def test_chains_and_doublings_are_refused():
    chain = "".join(f"text t{i} = t{i + 1}\n" for i in range(3000)) + 'text t3000 = "A"\n'
    assert {d.code for d in faults(chain)} == {"too-large", "too-many-errors"}
    double = "".join(f"text t{i} = t{i + 1} t{i + 1}\n" for i in range(40)) + 'text t40 = "A"\n'
    assert {d.code for d in faults(double)} == {"too-large"}


def test_words_are_limited():
    text = HEAD + "block { line: " + '"" ' * MAX_WORDS + "} }"
    assert [d.code for d in faults(text)] == ["too-large"]


TOKENS = st.sampled_from(
    [*GOOD.split(), '"', "(", ")", "{", "}", ":", ",", "->", "\n", "clok", "Ω", "'", "\\", "\t"]
)


@settings(max_examples=150, deadline=None)
@given(st.lists(TOKENS, max_size=60).map(" ".join))
def test_garbage_only_gives_diagnostics(text):
    messages, found = parse_messages(text)
    assert bool(found) or all(m.name for m in messages.values())
    for fault in found:
        assert fault.code
        assert fault.message
        assert 0 <= fault.span.start <= fault.span.end <= len(text)
        fault.render()


@settings(max_examples=250, deadline=None)
@given(
    st.integers(0, len(GOOD)),
    st.integers(0, 40),
    st.one_of(st.text(max_size=5), st.sampled_from(["", '"', "{", "}", "(", "block", "\n"])),
)
def test_damaged_messages_only_give_diagnostics(place, length, put):
    text = GOOD[:place] + put + GOOD[place + length :]
    messages, found = parse_messages(text)
    assert not (messages and found)
    for fault in found:
        fault.render()


def test_importing_the_room_does_not_load_the_parser():
    code = "import rasterc.source, sys; sys.exit('lark' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0

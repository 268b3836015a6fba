"""Every mistake of a file is reported at once, each once, and nothing that is none."""

import random
import re
from itertools import combinations
from pathlib import Path

import pytest

from rasterc.diagnostics import InputError
from rasterc.loading import load_plan, make_ready
from rasterc.source.load import read_messages_in

MESSAGES = Path(__file__).parents[2] / "shared" / "messages"
GOOD = """\
message m {
  raster 16
  font upright-7
  language de
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 9 months to month end
  shift crew of packed {
    "A" from 06:00
    "B" from 18:00
  }
  counter case from 1 to 9999, step 1
  input lot matching "[A-Z]{2}", default "QK"
  table month from 1, letters "ABCDEFGHJKLM"
  text row = lot " " crew
  check digit = luhn of case(0000)
  block {
    line: "BEST " best(MMM yyyy, upper) " " packed(dd, first 1)
    line font upright-5: row case(0000) digit best(M, table month) "L"
  }
  block { picture "drop.pbm" }
  require length <= 60 mm
  expect at 2028-02-29 05:59, case 42 { "A" "B" }
}
"""
FAULTS = {  # what is planted: the good text, the bad one, and the code and text of the report
    "a word too many": ("raster 16", "raster 16 17", "syntax", "17"),
    "a bad raster": ("raster 16", "raster 17", "bad-number", "17"),
    "an unknown font": ("font upright-7", "font upright-77", "unknown-font", "upright-77"),
    "an unknown font of a line": ("upright-5", "upright-55", "unknown-font", "upright-55"),
    "an unknown language": ("language de", "language dee", "unknown-language", "dee"),
    "an unknown zone": ("Europe/Dublin", "Europe/Dubln", "unknown-zone", '"Europe/Dubln"'),
    "no such time": ("day from 06:00", "day from 26:00", "bad-time", "26:00"),
    "an unknown unit": ("9 months", "9 moths", "unknown-unit", "moths"),
    "a misspelt keyword": ("shift crew", "shfit crew", "unknown-word", "shfit"),
    "an unknown clock": ("crew of packed", "crew of pakced", "unknown-name", "pakced"),
    "a comma left out": ("9999, step", "9999 step", "syntax", "step"),
    "a misspelt option": ("step 1", "stpe 1", "unknown-option", "stpe"),
    "a bad pattern of an input": ("[A-Z]{2}", "[A-Z", "bad-input-pattern", "[A-Z"),
    "a default that does not match": ('"QK"', '"Q7"', "input-mismatch", None),
    "an unknown check": ("luhn of", "lunh of", "unknown-check", "lunh"),
    "a bad date letter": ("MMM yyyy", "jjj yyyy", "bad-date-pattern", "jjj"),
    "a misspelt option of a field": ("first 1", "frist 1", "unknown-option", "frist 1"),
    "an undeclared field": ("row case", "rwo case", "unknown-name", "rwo"),
    "an unknown table": ("table month)", "table mouth)", "unknown-name", "mouth"),
    "a bad escape": ('"L"', '"L\\q"', "bad-escape", "\\q"),
    "a missing picture": ("drop.pbm", "dorp.pbm", "picture-missing", 'picture "dorp.pbm"'),
    "no such day": ("2028-02-29", "2028-02-30", "bad-date", "2028-02-30"),
    "no such value": ("case 42", "case 42000", "not-a-value", "42000"),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("message")
    (folder / "drop.pbm").write_bytes(b"P1 2 2 1 0 0 1")
    return folder


def faults(text, folder):
    try:
        make_ready(read_messages_in(text, "m.rasterc", folder))
    except InputError as error:
        return list(error.diagnostics)
    return []


def planted(*names):
    text = GOOD
    for name in names:
        good, bad, _, _ = FAULTS[name]
        assert text.count(good) == 1, name
        text = text.replace(good, bad)
    return text


def place_of(names, text):
    return sorted(names, key=lambda name: text.index(FAULTS[name][1]))


def test_the_good_message_is_good(folder):
    assert faults(GOOD, folder) == []


@pytest.mark.parametrize("name", FAULTS)
def test_one_mistake_gives_one_report(name, folder):
    _, _, code, shown = FAULTS[name]
    found = faults(planted(name), folder)
    assert [(d.code, d.span.text if shown else None) for d in found] == [(code, shown)]


EXCLUSIVE = {frozenset(pair) for pair in (
    ("a word too many", "a bad raster"),  # the same place
    ("a comma left out", "a misspelt option"),
    ("a bad pattern of an input", "a default that does not match"),  # no pattern to match
    ("no such day", "no such value"),  # one moment with two mistakes
    ("a misspelt option", "no such value"),  # the values of a counter in doubt are not known
    ("a comma left out", "no such value"),
)}  # fmt: skip
PAIRS = [p for p in combinations(FAULTS, 2) if frozenset(p) not in EXCLUSIVE]


@pytest.mark.parametrize("first", FAULTS)
def test_two_mistakes_give_two_reports_in_order(first, folder):
    for pair in PAIRS:
        if pair[0] == first:
            text = planted(*pair)
            wanted = [FAULTS[name][2] for name in place_of(pair, text)]
            assert [d.code for d in faults(text, folder)] == wanted, pair


def test_all_mistakes_that_can_stand_together_are_reported_together(folder):
    left_out = {"a bad raster", "a comma left out", "a default that does not match"}
    names = [n for n in FAULTS if n not in left_out | {"no such value"}]
    text = planted(*names)
    found = faults(text, folder)
    assert [d.code for d in found] == [FAULTS[name][2] for name in place_of(names, text)]


def test_a_plan_without_fonts_reports_all_mistakes_of_its_text(folder):
    names = ("an unknown font", "an unknown zone", "a misspelt option", "a bad date letter")
    (folder / "m.rasterc").write_text(planted(*names))
    with pytest.raises(InputError) as caught:
        load_plan(folder / "m.rasterc", None)
    codes = [d.code for d in caught.value.diagnostics]
    assert codes == ["unknown-zone", "unknown-option", "bad-date-pattern"]


# -- no more than there are ------------------------------------------------------------------------

TOKENS = re.compile(r'"(?:[^"\\\n]|\\.)*"|#[^\n]*|[\w-]+|\s+|.')


def mutations(text):
    """A text with one token dropped, doubled, misspelt, bare, or replaced by what is none."""
    parts = TOKENS.findall(text)
    for at, part in enumerate(parts):
        if not part.strip() or part.startswith("#"):
            continue
        changes = [" ", f"{part} {part}", "@"]
        if part.isalpha() and len(part) > 3:
            changes += [part[0] + part[2] + part[1] + part[3:], "zzyzx"]
        if part.startswith('"'):
            changes += [part[:-1], part[1:], part[1:-1]]
        for change in changes:
            yield "".join([*parts[:at], change, *parts[at + 1 :]])


def test_one_slip_gives_at_most_one_report_but_for_a_few():
    """A slip may declare another name than the one used: two reports are right then.

    Without its word `date` an input is no clock: its limits and all that is counted from it say so.
    """
    rng = random.Random(7)
    counts = []
    for path in sorted(MESSAGES.glob("*.rasterc")):
        every = list(mutations(path.read_text(encoding="utf-8")))
        for text in rng.sample(every, 40):
            counts.append(len(faults(text, MESSAGES)))
            assert counts[-1] <= 4, text
    assert sum(count > 1 for count in counts) <= len(counts) / 50


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ('block { line: "ABC }', ["unclosed-text"]),
        ('block {\n line: "ABC\n line: "D"\n }', ["unclosed-text"]),
        ('block { line: "ABC” "D" }', ["unopened-text"]),
        ('block { line: "ABC” }', ["unclosed-text"]),
        ('shift s of p {\n "A from 06:00\n "B" from 8:00 }\n block { line: s }', ["unclosed-text"]),
        ('block { line: ABC" "D" }', ["unopened-text"]),
        ("input line\n block { line: line }", ["reserved-word"]),
        ("input font\n block { line: font }", ["reserved-word"]),
        ("input text length 4\n block { line: text line: text }", ["reserved-word"]),
        ('block { line: BEST BEFORE p(dd) "A" }', ["unknown-name"]),
        ('block { line: x "A" x(dd) line: x }', ["unknown-name"]),
        ("clock x = y + 1 day block { line: x(jj) }", ["unknown-name", "bad-date-pattern"]),
        ("block { line: p(dd upper) }", ["missing-comma"]),
        ("block { line: p(dd, , upper) }", ["empty-argument"]),
        ("block { line: p(Monday) }", ["bad-date-pattern"]),
        ("clock a = b + 1 day clock b = a block { line: a(dd) b(dd) }", ["cycle"]),
        ("counter c from 9 to 1\n expect at 2027-01-01 12:00, c 5 { }", ["empty", "direction"]),
        ("shift s of q { } clock b = start of s block { line: s b(dd) }", ["empty"]),
        ("table t evry 6 hours of day { \"A\" } block { line: p(table t) }", ["unknown-option"]),
        ('input a matching "(" input a length 1', ["empty", "bad-input-pattern", "duplicate-name"]),
        ('use "none.rasterc"\n block { line: x(dd) p(dd, table y) }', ["misplaced"]),
        ("input a length 1\n table a { } block { line: a(00) }", ["duplicate-name", "empty"]),
    ],
)  # fmt: skip
def test_no_report_is_the_consequence_of_another(text, wanted, folder):
    head = 'message m { raster 7 font upright-7\n clock p in "Europe/Dublin"\n'
    assert [d.code for d in faults(f"{head} {text}\n}}\n", folder)] == wanted


@pytest.mark.parametrize("used", ['use "none.rasterc"', "use none.rasterc", 'use "none.rasterc'])
def test_names_of_a_file_that_cannot_be_read_are_not_unknown(used, folder):
    text = (
        f'{used}\nmessage m {{ raster 7 font upright-7 block {{ line: x(dd) y(M, table z) "A" }} }}'
    )
    assert len(faults(text, folder)) == 1


@pytest.mark.parametrize("blank", ["\u00a0", "\u2009", "\u202f", "\u3000"])
def test_blanks_of_word_processors_are_blanks_between_words(blank, folder):
    text = GOOD.replace("raster 16", f"raster{blank}16").replace(", step", f",{blank}step")
    assert faults(text.replace("\n  clock", f"\n{blank} clock"), folder) == []


def test_a_byte_order_mark_may_begin_a_line(folder):
    assert faults("\ufeff" + GOOD.replace("\n  clock", "\n\ufeff  clock"), folder) == []


@pytest.mark.parametrize(
    "word",
    ["raster 1#6", "ras#ter 16", "clock pac#ked", "of pac#ked", "packed(d#d", "st#ep", "ro#w c"],
)
@pytest.mark.parametrize(
    "sign", ["\u200b", "\u200e", "\u202e", "\u2066", "\u00ad", "\u200d", "\ufeff"]
)
def test_what_cannot_be_seen_is_named_and_nothing_else(sign, word, folder):
    text = GOOD.replace(word.replace("#", ""), word.replace("#", sign), 1)
    (fault,) = faults(text, folder)
    assert fault.code == "invisible-character"
    assert f"U+{ord(sign):04X}" in fault.message
    assert fault.span.text == sign


def test_other_mistakes_are_found_beside_what_cannot_be_seen(folder):
    text = GOOD.replace("clock packed", "clock pac\u200bked").replace("luhn", "lunh")
    found = faults(text.replace("upright-5", "upright-55"), folder)
    codes = [(d.code, d.span.line) for d in found]
    assert codes == [("invisible-character", 5), ("unknown-check", 15), ("unknown-font", 18)]


@pytest.mark.parametrize("sign", ["\u200b", "\u2028", "\x07"])
def test_a_line_of_nothing_that_can_be_seen(sign, folder):
    assert [d.code for d in faults(GOOD + sign, folder)] == ["invisible-character"]


@pytest.mark.parametrize("text", ["“L”", "„L“", "«L»", "'L'", "‘L’", '“L"'])
def test_quotes_of_word_processors_are_answered_with_the_right_ones(text, folder):
    (fault,) = faults(GOOD.replace('"L"', text), folder)
    assert fault.span.text == text
    assert fault.help.endswith(': "L"')

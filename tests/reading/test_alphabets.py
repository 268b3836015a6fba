"""What fields can print: against names of Babel, and against the texts at many instants."""

import re
from datetime import datetime, timedelta
from string import ascii_lowercase, ascii_uppercase, digits

import pytest
from babel.dates import get_day_names, get_month_names
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.api import load_text
from rasterc.code import Code
from rasterc.diagnostics import SourceText, Span
from rasterc.domain.fieldtexts import counter_texts, input_texts
from rasterc.domain.inputwords import InputWords
from rasterc.domain.texts import alphabets_of, characters, listed, loose
from rasterc.reading.alphabets import alphabets, field_texts
from rasterc.source.declarations import Counter, Input
from rasterc.values.given.automaton import build_automaton
from rasterc.values.given.inputs import InputRule
from rasterc.values.given.regex import parse_regex

DECLARED = """
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 9 months to month end
  clock first = packed to month start
  clock friday = packed to friday
  clock launch = 2027-11-25
  shift crew of packed { "A" from 06:00 "B" from 14:30 "NIGHT" from 22:00 }
  clock began = start of crew
  counter case from 1 to 9999
  counter few from 8 to 12
  counter metre from 0 to 9999990, step 10
  input lot matching "[A-F]{2}[0-4]+", length 3 to 4
  input plant one of "QM 0042" "QM 0043", default "QM 0042"
  input note
  table month-letter from 1 { "A" "B" "C" "D" "E" "F" "G" "H" "J" "K" "L" "M" }
  table quarter every 15 minutes of hour { "W" "X" "Y" "Z" }
  text serial = "L" few lot(first 2)
  check digit = gs1-mod10 of case(0000)
"""


def message(declared: str, line: str) -> Code:
    """A message of one line."""
    source = f"message m {{ raster 16 font upright-9 {declared} block {{ line: {line} }} }}"
    return load_text(source)


def alphabet(field: str) -> str:
    """Characters the field can print, sorted."""
    found = alphabets(message(DECLARED, field).plan)
    return "".join(sorted(next(a for place, a in found.items() if place.text == field)))


def letters(names) -> str:
    return "".join(sorted(set("".join(names))))


@pytest.mark.parametrize(
    ("field", "chars"),
    [
        ("packed(yyDDD)", digits),
        ("packed(HH:mm)", digits + ":"),
        ("packed(Q)", "1234"),
        ("packed(e)", "1234567"),
        ("packed(y, last 1)", digits),
        ("packed(HH, first 1)", "012"),
        ("packed(ddMMyyyy, first 1)", "0123"),
        ("packed(ddMMyyyy, from 3 to 3)", "01"),
        ("best(dd)", "012389"),  # 28 to 31
        ("first(dd)", "01"),
        ("friday(e)", "5"),
        ("launch(dd.MM.yyyy)", ".01257"),
        ("began(HH:mm)", ":012346"),  # 06:00, 14:30, 22:00
        ("crew", "ABGHINT"),
        ("case(0000)", digits),
        ("few(00)", "01289"),
        ("few", "01289"),
        ("few(first 1)", "189"),
        ("few(last 1)", "01289"),
        ("metre(0000000)", digits),
        ("lot", "01234ABCDEF"),
        ("lot(first 2)", "ABCDEF"),
        ("lot(last 1)", "01234"),
        ("lot(lower)", "01234abcdef"),
        ("plant", " 0234MQ"),
        ("plant(last 1)", "23"),
        ("packed(M, table month-letter)", "ABCDEFGHJKLM"),
        ("packed(table quarter)", "WXYZ"),
        ("serial", "01289ABCDEFL"),
        ("digit", digits),
        ('few(pad 4 left "-")', "-01289"),
    ],
)
def test_what_a_field_can_print(field, chars):
    assert alphabet(field) == "".join(sorted(chars))


def test_an_open_input_can_be_anything_that_is_carried():
    code = load_text("message m { raster 7 font upright-7 input note block { line: note } }")
    assert next(iter(alphabets(code.plan, "AB").values())) == set("AB")
    assert set(ascii_lowercase + ascii_uppercase) < next(iter(alphabets(code.plan).values()))


@pytest.mark.parametrize("language", ["de", "fr", "pl", "fi", "tr"])
def test_names_are_those_of_babel(language):
    # Babel carries the Unicode CLDR; no-break spaces do not occur in these names.
    months = get_month_names("abbreviated", "format", language).values()
    days = get_day_names("wide", "format", language).values()
    assert alphabet(f"packed(MMM, in {language})") == letters(months)
    assert alphabet(f"packed(EEEE, in {language})") == letters(days)
    points_off = (name.replace(".", "") for name in months)
    assert alphabet(f"packed(MMM, in {language}, no-points)") == letters(points_off)


def test_capitals_are_those_of_the_language():
    # Greek capitals have no accent, Turkish i becomes a dotted capital (Unicode SpecialCasing).
    greek = alphabet("packed(MMM, in el, upper)")
    assert not set(greek) & set("ΆΈΉΊΌΎΏ")
    assert "İ" in alphabet("packed(EEEE, in tr, upper)") + alphabet("packed(MMMM, in tr, upper)")


def test_texts_at_many_instants_use_all_characters_and_no_others():
    fields = [
        "best(dd)",
        "best(MMM, upper)",
        "began(HH:mm)",
        "crew",
        "friday(EEE dd)",
        "packed(ww)",
    ]
    lines = " ".join(f"{field}" for field in fields)
    code = message(DECLARED, lines)
    found: dict[str, set[str]] = {field: set() for field in fields}
    for n in range(2 * 366 * 2):
        resolved = code.resolve(datetime(2027, 1, 1, 1) + timedelta(hours=13 * n)).resolved
        for block in resolved.blocks:
            for run in block.content[0].runs:
                found[run.span.text] |= set(run.text)
    assert found == {place.text: set(a) for place, a in alphabets(code.plan).items()}


def test_each_character_is_compared_with_its_own_part_of_the_field():
    code = message('clock c in "Europe/Dublin"', "c(d MMM yyyy, upper)")
    texts = next(iter(field_texts(code.plan).values()))
    found = alphabets_of(texts, "9 NOV 2028")
    assert found[0] == set(digits)
    assert found[1] == {" "}
    assert found[2] == set("ADFJMNOSECBGLPRTUVYN")
    assert found[-1] == set(digits)


def test_a_text_that_does_not_fit_is_compared_with_everything():
    texts = (listed(["A", "B"]), loose("01", 1, 3))
    assert alphabets_of(texts, "A01") == (set("AB"), set("01"), set("01"))
    assert alphabets_of(texts, "0A") == tuple(part.chars for part in texts)  # place by place
    assert alphabets_of(texts, "A0000") == (characters(texts),) * 5


patterns = st.recursive(
    st.sampled_from(["a", "b", "[c-e]", "0", "\\d"]),
    lambda inner: st.one_of(
        st.tuples(inner, inner).map("".join),
        st.tuples(inner, inner).map("({0[0]}|{0[1]})".format),
        st.tuples(inner, st.sampled_from(["?", "{2}", "{1,2}"])).map("({0[0]}){0[1]}".format),
    ),
    max_leaves=4,
)
SMALL = "abcde01"


def all_texts(most: int):
    texts = [""]
    for _ in range(most):
        texts += [text + c for text in texts if len(text) == len(texts[-1]) for c in SMALL]
    return texts


TEXTS = all_texts(4)


@settings(max_examples=80, deadline=None)
@given(patterns, st.integers(0, 3), st.integers(1, 4))
def test_places_of_a_pattern_against_every_text(pattern, least, most):
    """Python's re, over every text of up to four characters of a small alphabet."""
    tree, faults = parse_regex(pattern)
    assert not faults
    matching = [t for t in TEXTS if least <= len(t) <= most and re.fullmatch(pattern, t)]
    rule = InputRule(
        Input("i", None, pattern, min_length=least, max_length=most), build_automaton(tree)
    )
    found = InputWords.of(rule, SMALL)
    assert set(found.lengths()) == {len(t) for t in matching}
    for place, chars in enumerate(found.places()):
        assert chars & set(SMALL) == {t[place] for t in matching if len(t) > place}


@pytest.mark.parametrize("step", [1, 7, 1000, 4999])
def test_long_counters_take_every_digit(step):
    span = Span(SourceText("test", ""), 0, 0)
    counter = Counter("c", 3, 3 + step * 20_500, span, step=step)
    part = counter_texts(counter, 2, "x")
    exact = {c for value in counter.values for c in str(value).rjust(2, "x")}
    assert part.texts is None
    assert part.chars == exact
    assert (part.shortest, part.longest) == (2, len(str(counter.values[-1])))


def test_an_input_of_one_length_is_known_place_by_place():
    rule = message('input lot matching "[A-C]{2}[0-9]"', "lot").plan.inputs["lot"]
    parts = input_texts(rule, frozenset())
    assert [set(part.chars) for part in parts] == [set("ABC"), set("ABC"), set(digits)]


def test_a_shift_that_begins_when_clocks_go_forward_begins_an_hour_later():
    # Dublin, the last Sunday of March: 01:30 is skipped and becomes 02:00, the end of the gap.
    night = 'clock c in "Europe/Dublin" shift s of c { "N" from 01:30 } clock b = start of s'
    found = alphabets(message(night, "b(HH:mm)").plan)
    assert set(next(iter(found.values()))) == set("0123:")
    field = next(iter(field_texts(message(night, "b(HH)").plan).values()))
    assert field[0].texts == {"01", "02"}


def test_texts_of_texts_stay_small():
    doubled = "".join(f" text t{n + 1} = t{n} t{n}" for n in range(12))
    code = message(f'counter few from 8 to 12 text t0 = few "-" {doubled}', "t12")
    found = {place.text: a for place, a in alphabets(code.plan).items()}
    assert found["t12"] == set("01289-")
    assert max(len(texts) for texts in field_texts(code.plan).values()) <= 1000

"""What is wrong with a message: every fault, at its place."""

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.values import Instant, prepare, resolve


def faults_of(make, written, **declared):
    declared.setdefault("clocks", [make.clock()])
    declared.setdefault("counters", [make.counter("case", 1, 9999)])
    declared.setdefault("inputs", [make.input("lot")])
    quarters = {str(i): str(i) for i in range(4)}
    tables = [make.table("months", {"1": "A"}), make.table("quarter", quarters, every_minutes=360)]
    declared.setdefault("tables", tables)
    return prepare(make.message(written, **declared))[1]


FAULTS = [
    # date patterns
    ("packed(dd.TT.yyyy)", "bad-date-pattern", "TT", "'TT'"),
    ("packed(dd.mm.jjjj)", "bad-date-pattern", "jjjj", "DDD"),
    ("packed(HH:mm:SS)", "bad-date-pattern", "SS", "ss"),
    ("packed(yyy)", "bad-date-pattern", "yyy", "y, yy, yyyy"),
    ("packed(MMMMMM)", "bad-date-pattern", "MMMMMM", "M, MM, MMM, MMMM, MMMMM"),
    ('packed("dd.MM")', "bad-date-pattern", '"dd.MM"', "bare"),
    ("packed", "missing-pattern", "packed", "packed(dd.MM.yyyy)"),
    ("packed(upper)", "missing-pattern", "packed(upper)", "packed(dd.MM.yyyy)"),
    ("packed(table months)", "missing-pattern", "packed(table months)", "packed(dd.MM.yyyy)"),
    # options
    ("packed(dd, uper)", "unknown-option", "uper", 'did you mean "upper"'),
    ("packed(dd, MMM)", "unknown-option", "MMM", "apostrophes"),
    ("lot(uper)", "unknown-option", "uper", 'did you mean "upper"'),
    ("case(blank)", "unknown-option", "blank", 'did you mean "blanks"'),
    ("lot(upper first 3)", "bad-option", "upper first 3", "commas"),
    ("lot(first)", "bad-option", "first", "commas"),
    ("lot(first 0)", "bad-option", "0", "1 to 1000"),
    ("lot(first x)", "bad-option", "x", "1 to 1000"),
    ("lot(from 1 till 2)", "bad-option", "till", "commas"),
    ("lot(from 3 to 2)", "bad-option", "from 3 to 2", "smaller"),
    ("lot(pad 3 middle)", "bad-option", "pad 3 middle", "commas"),
    ('lot(pad 3 left "ab")', "bad-option", 'pad 3 left "ab"', "commas"),
    ("lot(table month)", "unknown-name", "month", 'did you mean "months"'),
    ("lot(table quarter)", "wrong-table", "table quarter", "packed(table quarter)"),
    ("packed(HH, table quarter)", "wrong-table", "table quarter", "packed(table quarter)"),
    ("packed(dd, in dee)", "unknown-language", "dee", 'did you mean "de"'),
    ("packed(dd, in de-AT)", "unknown-language", "de-AT", 'did you mean "de"'),
    ("packed(dd, in)", "bad-option", "in", "commas"),
    ("packed(dd, in de, in fr)", "bad-option", "in fr", "one language"),
    ("lot(in de)", "bad-option", "in de", "leave it out"),
    ("packed(dd, calendar hijri)", "needs-extra", "hijri", "does not ship"),
    ("packed(dd, calendar hijra)", "unknown-calendar", "hijra", 'did you mean "hijri"'),
    # counters
    ("case(000)", "counter-too-wide", "000", "case(0000)"),
    ("case(0001)", "bad-width", "0001", "case(0000)"),
    ("case(blanks)", "bad-option", "blanks", "case(0000, blanks)"),
    # names
    ("cse", "unknown-name", "cse", 'did you mean "case"'),
]


@pytest.mark.parametrize(("written", "code", "place", "help"), FAULTS)
def test_faults(make, written, code, place, help):
    faults = faults_of(make, written)
    assert [(fault.code, fault.span.text) for fault in faults] == [(code, place)]
    assert help in faults[0].help


def test_unclosed_apostrophe(make):
    """The language closes apostrophes; a pattern built elsewhere may not."""
    from rasterc.values.dates.languages import find_names
    from rasterc.values.dates.patterns import parse_pattern

    with pytest.raises(InputError, match="the apostrophe is not closed"):
        parse_pattern("dd 'MM", None, find_names("en", None))


def test_all_faults_in_the_order_of_the_text(make):
    faults = faults_of(make, "packed(dT X, uper, first x) case(00, pad) lot(table x)")
    assert [fault.span.text for fault in faults] == ["T", "X", "uper", "x", "00", "pad", "x"]


def test_unused_declarations_are_read_too(make):
    faults = faults_of(
        make,
        '"A"',
        clocks=[make.clock(zone="Europe/Nowhere"), make.derived("best", "packed")],
        texts=[make.text("serial", "packed(TT)")],
        checks=[make.check("digit", "gs1-mod11", "lot")],
        language="xx",
    )
    assert sorted(fault.code for fault in faults) == [
        "bad-date-pattern",
        "unknown-check",
        "unknown-language",
        "unknown-zone",
    ]


def test_a_plan_with_faults_refuses_to_resolve(make):
    message = make.message("packed(TT)", clocks=[make.clock()])
    plan, faults = prepare(message)
    with pytest.raises(InputError) as caught:
        plan.resolve(Instant(datetime(2028, 1, 1)))
    assert list(caught.value.diagnostics) == faults
    with pytest.raises(InputError):
        resolve(message, Instant(datetime(2028, 1, 1)))


@pytest.mark.parametrize(
    "declared",
    [
        {"choices": ("AB", "ab"), "pattern": "[A-Z]{2}"},
        {"default": "ab", "pattern": "[A-Z]{2}"},
        {"default": "abc", "max_length": 2},
    ],
)
def test_choices_and_defaults_have_to_fit(make, declared):
    faults = faults_of(make, "lot", inputs=[make.input("lot", **declared)])
    assert [fault.code for fault in faults] == ["input-mismatch"]


def test_texts_within_texts_have_a_limit(make):
    texts = [make.text("t0", '"a"'), *(make.text(f"t{i}", f"t{i - 1}") for i in range(1, 2000))]
    codes = {fault.code for fault in faults_of(make, "t1999", texts=texts[::-1])}
    assert codes == {"too-deep"}
    loop = [make.text("a", "b"), make.text("b", "a")]
    assert {fault.code for fault in faults_of(make, "a", texts=loop)} == {"too-deep"}


def test_clocks_derived_from_clocks_have_a_limit(make):
    clocks = [make.clock("c0"), *(make.derived(f"c{i}", f"c{i - 1}") for i in range(1, 60))]
    faults = faults_of(make, "c30(dd)", clocks=clocks)
    assert {fault.code for fault in faults} == {"too-deep"}


def test_a_counter_of_many_digits(make):
    faults = faults_of(make, "case(000)", counters=[make.counter("case", 0, 10**40)])
    assert [fault.code for fault in faults] == ["counter-too-large"]


def test_long_patterns_are_refused(make):
    assert faults_of(make, f"packed({'d. ' * 100})")[0].code == "bad-date-pattern"
    inputs = [make.input("lot", "a" * 2000)]
    assert [fault.code for fault in faults_of(make, "lot", inputs=inputs)] == ["bad-input-pattern"]


WORDS = """
    upper|no-points|first|last|from|to|3|0|table|months|quarter|pad|left|in|de|calendar|hijri
    |blanks|0000|dd.MM|'x'|"c"|,
"""
SCRAPS = st.one_of(st.sampled_from(WORDS.split("|")), st.text("dMyT'0, é", max_size=4))


@given(name=st.sampled_from(["packed", "case", "lot"]), scraps=st.lists(SCRAPS, max_size=6))
def test_any_arguments_give_texts_or_diagnostics(make, name, scraps):
    message = make.message(
        f"{name}({' '.join(scraps)})",
        clocks=[make.clock()],
        counters=[make.counter("case", 1, 9999)],
        inputs=[make.input("lot", default="1")],
        tables=[make.table("months", {"1": "A"}), make.table("quarter", {}, every_minutes=15)],
    )
    plan, faults = prepare(message)
    try:
        assert len(plan.resolve(Instant(datetime(2028, 1, 1))).lines) == 1
        assert faults == []
    except InputError as error:
        assert all(fault.code and fault.help for fault in error.diagnostics)

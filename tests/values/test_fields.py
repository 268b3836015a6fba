"""Fields and their options: what is printed."""

from datetime import datetime

import pytest
from stdnum import ean

from rasterc.diagnostics import InputError
from rasterc.values import Instant, prepare, resolve

NOON = datetime(2028, 9, 3, 12, 50)
QUARTERS = {str(i): letter for i, letter in enumerate("ABCD")}


def line(make, written, instant=None, **declared):
    declared.setdefault("clocks", [make.clock()])
    plan, faults = prepare(make.message(written, **declared))
    assert faults == []
    return plan.resolve(instant or Instant(NOON)).lines[0]


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("packed(MMM yyyy, upper)", "SEP 2028"),
        ("packed(d MMM, in de)", "3 Sept."),
        ("packed(d.MMM.yy, in de, no-points)", "3.Sept.28"),
        ("packed(d.MMM.yy, in de, no-points, upper)", "3.SEPT.28"),
        ("packed(MMMM, in tr, upper)", "EYLÜL"),
        ("packed(MMMM, upper, in tr)", "EYLÜL"),
        ("packed(EEEE, in fr, first 3, upper)", "DIM"),
        ("packed(yyyy, last 1)", "8"),
        ("packed(yyyyMMdd, from 3 to 6)", "2809"),
        ("packed(M, table months)", "J"),
        ("packed(MM, table months)", "J"),
        ('packed(M, table months, pad 3 left "*")', "**J"),
        ('packed(M, pad 3 right "0")', "900"),
        ("packed(M, pad 3)", "  9"),
        ("packed(MM, calendar gregorian)", "09"),
        ("packed(table quarter)", "D"),
        ("packed(table quarter, lower)", "d"),
        ("packed(table half)", "PM"),
        ("packed(h 'o''clock' a)", "12 o'clock PM"),
        ("packed(d ',' MMM)", "3 , Sep"),
        ("packed(h:mm a, in es)", "12:50 p. m."),
        ("packed(h:mm a, in es, no-points)", "12:50 p m"),
    ],
)
def test_clock_fields(make, field, text):
    tables = [
        make.table("months", {"9": "J", "10": "K"}),
        make.table("quarter", QUARTERS, every_minutes=15, every_of="hour"),
        make.table("half", {"0": "AM", "1": "PM"}, every_minutes=720),
    ]
    assert line(make, field, tables=tables) == text


def test_the_message_gives_the_language(make):
    assert line(make, "packed(MMMM, upper)", language="el") == "ΣΕΠΤΕΜΒΡΙΟΥ"
    assert line(make, "lot(upper)", Instant(NOON, {}, {"lot": "i"}), language="tr",
                inputs=[make.input("lot")]) == "İ"  # fmt: skip


def test_points_of_a_table_are_dropped_too(make):
    tables = [make.table("months", {"9": "S.E."})]
    assert line(make, "packed(M, table months, no-points)", tables=tables) == "SE"


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("case", "42"),
        ("case(0000)", "0042"),
        ("case(0000, blanks)", "  42"),
        ("case(0000, last 3)", "042"),
        ('case(pad 6 left "x")', "xxxx42"),
    ],
)
def test_counter_fields(make, field, text):
    counters = [make.counter("case", 1, 9999)]
    assert line(make, field, Instant(None, {"case": 42}), counters=counters) == text


def test_leading_zeros_are_the_counters_own_zero(make):
    counters = [make.counter("case", 0, 99, digits="ABCDEFGHJK")]
    assert line(make, "case(000)", Instant(None, {"case": 12}), counters=counters) == "ABC"


def test_counters_begin_at_their_first_value(make):
    assert line(make, "case", Instant(), counters=[make.counter("case", 500, 1)]) == "500"


def test_inputs_defaults_texts_and_checks(make):
    declared = {
        "inputs": [make.input("lot", "[0-9]{6}"), make.input("plant", default="7")],
        "texts": [make.text("serial", '"3761" lot plant'), make.text("twice", "serial serial")],
        "checks": [make.check("digit", "gs1-mod10", "serial")],
    }
    instant = Instant(None, {}, {"lot": "123456"})
    digit = ean.calc_check_digit("37611234567")
    assert line(make, "serial digit", instant, **declared) == "37611234567" + digit
    assert line(make, "twice(last 4)", instant, **declared) == "4567"


def test_runs_keep_names_and_places(make):
    plan, _ = prepare(make.message('"L" packed(yy, upper) "-"', clocks=[make.clock()]))
    runs = plan.resolve(Instant(NOON)).blocks[0].content[0].runs
    assert [(run.text, run.name, run.span.text) for run in runs] == [
        ("L", "", '"L"'),
        ("28", "packed", "packed(yy, upper)"),
        ("-", "", '"-"'),
    ]


def test_inputs_are_compared_and_printed_composed(make):
    """Unicode normal form C: e with an acute accent is one character."""
    inputs = [make.input("name", "[é]{1}")]
    assert line(make, "name", Instant(None, {}, {"name": "e\u0301"}), inputs=inputs) == "é"


def fails(make, written, instant, **declared):
    declared.setdefault("clocks", [make.clock()])
    plan, faults = prepare(make.message(written, **declared))
    assert faults == []
    with pytest.raises(InputError) as caught:
        plan.resolve(instant)
    return caught.value.diagnostics


def test_all_faults_of_an_instant_are_reported_once(make):
    faults = fails(
        make,
        "packed(MM) packed(M, table months) packed(M, table months) case case lot lot2",
        Instant(NOON, {"case": 10, "cases": 1}, {"lot": "ab", "lott": ""}),
        tables=[make.table("months", {"1": "A"})],
        counters=[make.counter("case", 1, 9, step=2)],
        inputs=[make.input("lot", "[A-Z]+"), make.input("lot2")],
    )
    assert [fault.code for fault in faults] == [
        "counter-out-of-reach",
        "unknown-name",
        "input-mismatch",
        "unknown-name",
        "no-such-key",
        "no-such-key",
        "input-missing",
    ]
    assert faults[0].help == "it goes from 1 to 9 in steps of 2"
    assert [fault.help for fault in faults if fault.code == "unknown-name"] == [
        'did you mean "case"?',
        'did you mean "lot"?',
    ]
    assert "[A-Z]+" in faults[2].message


@pytest.mark.parametrize(
    ("options", "text", "why"),
    [
        ({"max_length": 3}, "abcd", "it has 4 characters"),
        ({"min_length": 5}, "abcd", "it has 4 characters"),
        ({"choices": ("x", "y")}, "z", "none of the choices"),
        ({}, "a" * 65, "it has 65 characters"),
        ({}, "a\nb", "U+000A cannot be printed"),
        ({}, "a\u200bb", "U+200B cannot be printed"),
    ],
)
def test_inputs_that_do_not_fit(make, options, text, why):
    instant = Instant(NOON, {}, {"lot": text})
    faults = fails(make, "lot", instant, inputs=[make.input("lot", **options)])
    assert [fault.code for fault in faults] == ["input-mismatch"]
    assert why in faults[0].message


def test_check_over_foreign_characters_points_at_the_check(make):
    checks = [make.check("digit", "luhn", '"12" lot')]
    faults = fails(make, "digit", Instant(NOON, {}, {"lot": "4X"}), checks=checks,
                   inputs=[make.input("lot")])  # fmt: skip
    assert [fault.code for fault in faults] == ["foreign-character"]


def test_a_part_that_is_not_there(make):
    faults = fails(make, "lot(from 3 to 5)", Instant(NOON, {}, {"lot": "abcd"}),
                   inputs=[make.input("lot")])  # fmt: skip
    assert [(f.code, f.span.text) for f in faults] == [("text-too-short", "from 3 to 5")]


def test_texts_that_double_at_each_step_end_in_a_diagnostic(make):
    texts = [make.text("t0", '"0123456789"')]
    texts += [make.text(f"t{i}", f"t{i - 1} t{i - 1}") for i in range(1, 40)]
    faults = fails(make, "t39", Instant(NOON), texts=texts)
    assert [fault.code for fault in faults] == ["text-too-long"]


def test_same_instant_same_texts(make):
    message = make.message("packed(yyyy-MM-dd)", clocks=[make.clock()])
    assert resolve(message, Instant(NOON)) == resolve(message, Instant(NOON))


def test_the_instant_comes_back_with_its_zone(make):
    resolved = resolve(make.message("packed(HH)", clocks=[make.clock()]), Instant(NOON))
    assert str(resolved.instant.when) == "2028-09-03 12:50:00+01:00"

"""Twelve mistakes that have reached products: each is found, and its remedy makes it go away."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.relativedelta import relativedelta

from rasterc.checks.model import EXAMPLE_PROFILE
from rasterc.diagnostics import Severity

DUBLIN = 'clock packed in "Europe/Dublin", day from 06:00\n'


def one(found):
    assert len(found) == 1
    return found[0]


def test_1_a_date_that_can_be_read_two_ways(bench):
    body = DUBLIN + 'clock best = packed + 495 days\nblock {{ line: "BB " best({}) }}'
    found = one(bench.findings(body.format("dd/MM/yy"), "ambiguous-date"))
    assert found.severity is Severity.WARNING
    assert "03/04/27 is the 3rd of April or the 4th of March" in found.message
    assert found.span.text == "best(dd/MM/yy)"
    for remedy in ("dd MMM yyyy", "yyyy-MM-dd"):
        assert remedy in found.remedy
        assert not bench.findings(body.format(remedy), "ambiguous-date")
    assert one(bench.findings(body.format("MM/dd/yyyy"), "month-before-day"))


def test_2_the_year_of_the_week_at_the_end_of_the_year(bench):
    body = DUBLIN + 'clock best = packed + 9 days\nblock {{ line: "BB " best({}, upper) }}'
    found = one(bench.findings(body.format("dd MMM YYYY"), "week-year", at="2026-12-20 10:00"))
    # ISO 8601 (date.isocalendar): 2027-01-01 is 2026-W53-5
    assert date(2027, 1, 1).isocalendar()[:2] == (2026, 53)
    assert "on 2027-01-01 the year of the week is 2026" in found.message
    assert found.remedy == "write dd MMM yyyy"
    assert not bench.findings(body.format("dd MMM yyyy"), "week-year")


@pytest.mark.parametrize(
    ("made", "life", "step"),
    [
        ("2028-02-29", "1 year", relativedelta(years=1)),  # mistake 3
        ("2027-01-31", "1 month", relativedelta(months=1)),  # mistake 10
        ("2027-08-31", "18 months", relativedelta(months=18)),
    ],
)
def test_3_and_10_a_day_that_the_month_reached_does_not_have(bench, made, life, step):
    body = (
        DUBLIN + "clock best = packed + {}\nblock {{ line: best(dd MMM yyyy, upper) }}\n"
        f"expect at {made} 10:00 {{{{ }}}}"
    )
    found = one(bench.findings(body.format(life), "short-month", at=f"{made} 10:00"))
    clamped = date.fromisoformat(made) + step  # dateutil takes the last day of the month
    assert f"for {made} as the production day best is {clamped}" in found.message
    assert "short month last-day" in found.remedy
    assert f"`, short month next-day` for {clamped + timedelta(days=1)}" in found.remedy
    assert found.span.text == f"clock best = packed + {life}"
    for rule in ("last-day", "next-day", "carry"):
        stated = body.format(f"{life}, short month {rule}")
        assert not bench.findings(stated, "short-month", at=f"{made} 10:00")
    assert not bench.findings(body.format(f"{life} to month end"), "short-month")


def test_4_a_day_of_the_year_in_two_digits_without_the_year(bench):
    for pattern in ("DD", "DDD, last 2"):
        body = DUBLIN + f'block {{ line: "L" packed({pattern}) }}'
        letter = one(bench.findings(body, "day-of-year-letter"))
        assert "yyDDD" in letter.remedy
        assert "yyDDD" in one(bench.findings(body, "day-of-year-without-year")).remedy
    good = DUBLIN + 'block { line: "L" packed(yyDDD) }\nexpect at 2027-11-25 14:05 { "L27329" }'
    assert bench.findings(good) == []


SHIFTS = """
clock packed in "Europe/Dublin"{}
shift crew of packed {{ "A" from 06:00 "B" from 14:00 "C" from 22:00 }}
clock began = start of crew
block {{ line: {}(dd MMM yyyy) " " crew }}
"""


def test_5_a_shift_with_a_date_that_changes_at_midnight(bench):
    found = one(bench.findings(SHIFTS.format("", "packed"), "shift-across-midnight"))
    assert 'starts at 00:00, while shift "C" of crew runs' in found.message
    assert "day from 06:00" in found.remedy
    assert "start of crew" in found.remedy
    assert not bench.findings(SHIFTS.format(", day from 06:00", "packed"), "shift-across-midnight")
    assert not bench.findings(SHIFTS.format("", "began"), "shift-across-midnight")
    late = SHIFTS.format(", day from 04:00", "packed")
    assert "starts at 04:00" in one(bench.findings(late, "shift-across-midnight")).message


COUNTED = """
clock packed in "{}"
counter case from 1 to {}, restart daily of packed
block {{ line: packed(yyDDD) " " case }}
"""


def test_6_a_counter_that_ends_in_a_long_day(bench):
    # 0.1 m/s with 100 mm between products: one a second, 86,400 in 24 h and 90,000 in 25 h
    line = EXAMPLE_PROFILE.replace("[1.2]", "[0.1]").replace("pitch_mm = 90", "pitch_mm = 100")

    def ends(zone, last, **more):
        return bench.findings(COUNTED.format(zone, last), "counter-ends", profile=line, **more)

    found = one(ends("Europe/Dublin", 86_400))
    assert (found.measured, found.limit) == (86_400, 90_000)
    assert "in 25 hours" in found.message
    assert "let it take 90000 values (5 characters)" in found.remedy
    assert not ends("Europe/Dublin", 90_000)
    assert not ends("UTC", 86_400)  # no clock changes there
    assert one(ends("UTC", 86_399)).limit == 86_400
    assert not ends("Europe/Dublin", 5_000, product="products_per_day = 5_000\n")
    assert one(ends("Europe/Dublin", 4_999, product="products_per_day = 5_000\n")).limit == 5_000


def test_7_the_letter_o_in_the_alphabet_of_a_lot(bench):
    body = (
        'input lot matching "[{}]{{3}}[0-9]{{3}}", default "ABC123"\nblock {{ line: "LOT " lot }}'
    )
    found = one(bench.findings(body.format("A-Z"), "letters-like-digits"))
    assert "can print O and I, which are read as 0 and 1" in found.message
    assert "[A-HJ-NP-Z]" in found.remedy
    assert bench.findings(body.format("A-HJ-NP-Z")) == []
    table = (
        'clock packed in "UTC"\ntable month from 1, letters "ABCDEFGHIJKL"\n'
        "block { line: packed(yyyy) packed(M, table month) }\n"
        'expect at 2027-11-25 14:05 { "2027K" }'
    )
    assert "I" in one(bench.findings(table, "letters-like-digits")).message
    assert bench.findings(table.replace("HIJKL", "HJKLM").replace("2027K", "2027L")) == []
    counter = 'counter serial from 0 to 999, base 36\nblock { line: "SN " serial }'
    assert one(bench.findings(counter, "letters-like-digits")).span.text.startswith("counter")


def test_8_a_month_that_is_longer_in_another_language(bench):
    body = (
        DUBLIN + "block {{ line: packed({0} yyyy, in en, upper) }}\n"
        "block {{ line: packed({0} yyyy, in de, upper) }}"
    )
    narrow = EXAMPLE_PROFILE.replace("window_mm = 70", "window_mm = 46")
    found = one(
        bench.findings(body.format("MMMM"), "longest-month", profile=narrow, at="2027-05-10 08:00")
    )
    assert "SEPTEMBER" in found.message
    assert found.at.startswith("2027-09")
    assert found.limit == 46
    assert "MMM" in found.remedy
    assert not bench.findings(body.format("MMM"), "longest-month", profile=narrow)


TIMED = 'clock packed in "{}"\n{}\nblock {{ line: packed(dd MMM yyyy HH:mm) {} }}'


def test_9_the_hour_that_comes_twice(bench):
    found = one(bench.findings(TIMED.format("Europe/Dublin", "", ""), "repeated-hour"))
    # IANA time zone database: 2028-10-29 01:30 is twice in Dublin
    dublin = ZoneInfo("Europe/Dublin")
    wall = datetime(2028, 10, 29, 1, 30, tzinfo=dublin)
    assert wall.utcoffset() != wall.replace(fold=1).utcoffset()
    assert "on 2028-10-29 the times 01:00 to 02:00 come twice" in found.message
    assert "counter" in found.remedy
    counted = TIMED.format("Europe/Dublin", "counter n from 1 to 9", '" " n')
    assert not bench.findings(counted, "repeated-hour")
    assert not bench.findings(TIMED.format("UTC", "", ""), "repeated-hour")
    assert not bench.findings(TIMED.format("Africa/Nairobi", "", ""), "repeated-hour")


def test_11_an_accented_letter_that_comes_up_in_one_month(bench):
    body = (
        'clock packed in "Europe/Paris"\nblock { line: packed(dd MMMM, in fr, upper) }\n'
        "expect at 2027-11-25 14:05 { }"
    )
    found = bench.findings(body, "missing-glyph", raster=5)
    text = " ".join(f.message for f in found)
    for letter in "ÉÛ":  # FÉVRIER, DÉCEMBRE, AOÛT
        assert letter in text
    assert {f.at[5:7] for f in found} <= {"12", "02", "08"}
    assert all(f.remedy and f.span.text.startswith("packed(") for f in found)
    assert not bench.findings(body, "missing-glyph", raster=7)


def test_12_a_throw_too_short_for_the_law(bench):
    body = DUBLIN + "clock best = packed + 60 days\nblock { line: best(dd MMM yyyy, upper) }"
    short = EXAMPLE_PROFILE.replace("throw_mm = 15", "throw_mm = 5")
    short = short.replace("row_pitch_mm = 0.35", "row_pitch_mm = 0.12")
    found = one(bench.findings(body, "x-height", profile=short, rules=["eu-food"]))
    assert found.measured == pytest.approx(6 * 0.12 + 0.4)  # seven rows, the drop counted
    assert found.limit == 1.2
    assert "a row pitch of 0.133 mm" in found.remedy
    assert "about 5.6 mm instead of 5 mm" in found.remedy
    longer = short.replace("throw_mm = 5", "throw_mm = 5.6").replace("_mm = 0.12", "_mm = 0.1344")
    assert not bench.findings(body, "x-height", profile=longer, rules=["eu-food"])


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ('p(yyDDD) " " p(HH:MM)', {"month-for-minutes": "write yyDDD HH:mm"}),
        ("p(yyDDDHHMM)", {"month-for-minutes": "write yyDDDHHmm"}),
        ("p(DDD/MM/yyyy)", {"day-of-year-letter": "write dd/MM/yyyy"}),
        ("p(DDD/MM/yyyy HH:mm)", {"day-of-year-letter": "write dd/MM/yyyy HH:mm"}),
    ],
)
def test_a_month_in_the_place_of_minutes_makes_no_day_of_the_year_wrong(bench, line, found):
    rules = {"month-for-minutes", "day-of-year-letter"}
    said = bench.findings(f'clock p in "UTC"\nblock {{ line: "L" {line} }}')
    assert {f.rule: f.remedy for f in said if f.rule in rules} == found

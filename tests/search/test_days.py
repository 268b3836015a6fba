"""Days of interest, against other calendars and against every day or minute resolved."""

import calendar
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import DAILY, MO, MONTHLY, WEEKLY, YEARLY, rrule
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.api import load_text
from rasterc.checks.model import EXAMPLE_PROFILE
from rasterc.diagnostics import InputError
from rasterc.profile.load import parse_profile
from rasterc.search.days import (
    ENDS,
    Ahead,
    Kind,
    calendar_days,
    changes_of_clocks,
    coming_days,
    edges_of,
)
from rasterc.values import Instant

DUBLIN = ZoneInfo("Europe/Dublin")
START = datetime(2027, 11, 25, 14, 5, tzinfo=DUBLIN)
PACKED = 'clock packed in "Europe/Dublin", day from 06:00\n'


def code_of(body):
    return load_text(f"message m {{ raster 7 font upright-7\n{body}\n}}")


def days_of(body, start=START, years=5, product="", **given):
    profile = parse_profile(EXAMPLE_PROFILE + product)
    subject = code_of(body).resolve(start, **given).subject(profile)
    return [(str(one.day), one.kind, one.said) for one in coming_days(subject, start, years).days]


@given(st.dates(date(1999, 1, 1), date(2105, 1, 1)), st.integers(0, 3000))
def test_ends_of_months_are_those_of_the_calendar(first, length):
    last = first + timedelta(days=length)
    found = list(calendar_days(first, last))
    every = [first + timedelta(days=ahead) for ahead in range(length + 1)]
    expected = [day for day in every if day.day == calendar.monthrange(day.year, day.month)[1]]
    assert [one.day for one in found] == expected
    for one in found:
        assert (one.kind is Kind.YEAR_END) == (one.day.month == 12)
        assert (one.kind is Kind.LEAP_DAY) == ((one.day.month, one.day.day) == (2, 29))


def test_clocks_of_every_zone_change():
    # Directive 2000/84/EC, Articles 2 and 3; New York: the second Sunday of March and the first of
    # November (15 U.S.C. 260a); from memory
    body = (
        'clock here in "Europe/Dublin" clock there in "America/New_York"\n'
        "block { line: here(dd) there(HH) }"
    )
    found = sorted(
        (str(one.day), one.said) for one in changes_of_clocks(code_of(body).plan, START, 1)
    )
    assert found == [
        ("2028-03-12", "clocks go forward in America/New_York"),
        ("2028-03-26", "clocks go forward in Europe/Dublin"),
        ("2028-10-29", "clocks go back in Europe/Dublin"),
        ("2028-11-05", "clocks go back in America/New_York"),
    ]


@pytest.mark.parametrize(
    ("restart", "rule"),
    [
        ("weekly", {"freq": WEEKLY, "byweekday": MO}),
        ("monthly", {"freq": MONTHLY, "bymonthday": 1}),
        ("yearly", {"freq": YEARLY, "bymonth": 1, "bymonthday": 1}),
    ],
)
def test_a_counter_starts_again_when_the_calendar_says(restart, rule):
    body = PACKED + f"counter n from 1 to 99, restart {restart} of packed, at end stop\n"
    body += "block { line: packed(dd) n(00) }"
    for ahead in (0, 3, 5, 36, 37, 400):
        start = START + timedelta(days=ahead)
        naive = start.replace(tzinfo=None)
        expected = rrule(**rule, dtstart=datetime(2027, 1, 1, 6)).after(naive)
        said = f"counter n starts again, {restart}"
        assert days_of(body, start) == [(str(expected.date()), "restart", said)]


def test_daily_restarts_are_no_news():
    body = PACKED + 'shift crew of packed { "A" from 06:00 "B" from 18:00 }\n'
    body += "counter a from 1 to 99, restart daily of packed, at end stop\n"
    body += "counter b from 1 to 99, restart per crew, at end stop\n"
    assert days_of(body + "block { line: packed(dd) crew a(00) b(00) }") == []


@settings(max_examples=20)
@given(
    st.sets(st.integers(2027, 2030), min_size=1),
    st.sets(st.integers(1, 12), min_size=9),
    st.datetimes(datetime(2027, 1, 1), datetime(2028, 1, 1)),
)
def test_a_message_ends_on_the_first_day_without_a_row(years, months, start):
    def rows(keys):
        return " ".join(f'"{key}" -> "X"' for key in sorted(keys))

    body = PACKED + f"table yy {{ {rows(years)} }} table mm {{ {rows(months)} }}\n"
    body += "block { line: packed(yyyy, table yy) packed(M, table mm) }"
    code = code_of(body)
    start = start.replace(hour=12, minute=0, second=0, microsecond=0)
    first = {}
    for moment in rrule(DAILY, dtstart=start, until=datetime(2033, 1, 2, 12)):
        for table, known, key in (("yy", years, moment.year), ("mm", months, moment.month)):
            if key not in known:
                first.setdefault(table, str(moment.date()))
    try:
        printed = code.resolve(start)
    except InputError:
        assert str(start.date()) in first.values()
        return
    found = coming_days(printed.subject(), start.replace(tzinfo=DUBLIN), 5).days
    until = str(date(start.year + 5, start.month, start.day))
    expected = sorted(day for day in first.values() if day < until)
    assert sorted(str(one.day) for one in found) == expected
    assert {one.kind for one in found} <= {Kind.NO_TEXT}


@pytest.mark.parametrize("sku", ["a", "b", "c"])
def test_of_all_rows_the_one_that_ends_first_counts(tmp_path, sku):
    rows = {"a": 7, "b": 720, "c": 30}
    table = "".join(f"{key},{life}\n" for key, life in rows.items())
    (tmp_path / "t.csv").write_text(f"sku,life\n{table}")
    body = PACKED + 'input sku\ntable t from "t.csv" by sku\nclock best = packed + t.life days\n'
    body += 'table yy { 2027 -> "A" 2028 -> "B" 2029 -> "C" }\n'
    text = (
        f"message m {{ raster 7 font upright-7\n{body}\nblock {{ line: best(yyyy, table yy) }} }}"
    )
    code = load_text(text, folder=tmp_path)
    days = (START.date() + timedelta(days=ahead) for ahead in range(365 * 5))
    expected = next(
        day for day in days if any((day + timedelta(life)).year > 2029 for life in rows.values())
    )
    ahead = coming_days(code.resolve(START, inputs={"sku": sku}).subject(), START, 5)
    assert [(one.day, one.kind) for one in ahead.days] == [(expected, Kind.NO_TEXT)]
    assert ahead.cannot_say == ()


@pytest.mark.parametrize(
    ("counter", "given", "expected"),
    [
        # 1,000 products a day
        ("from 1 to 9999, at end stop", 1, ("2027-12-05", "stops after 9999")),
        ("from 1 to 9999, at end stop", 9000, ("2027-11-26", "stops after 9999")),
        ("from 1 to 9999, at end stop", 8999, ("2027-11-26", "stops after 9999")),
        ("from 0 to 9990, step 10, at end wrap", 0, ("2027-11-26", "begins again after 9990")),
        ("from 1 to 999, each 3 times, at end stop", 1, ("2027-11-28", "stops after 999")),
        ("from 9999 down to 1, at end stop", 5000, ("2027-11-30", "stops after 1")),
        ("from 1 to 9999999, at end stop", 1, None),
        ("from 1 to 99, restart daily of packed, at end stop", 1, None),
    ],
)
def test_a_counter_ends_when_its_numbers_are_used_up(counter, given, expected):
    body = PACKED + f"counter n {counter}\nblock {{ line: packed(dd) n }}"
    found = days_of(body, product="products_per_day = 1000\n", counters={"n": given})
    if expected is None:
        assert found == []
        return
    [(day, kind, said)] = found
    assert (day, kind) == (expected[0], "counter-ends")
    assert said == f"counter n {expected[1]} at the earliest, at 1,000 products a day"


def test_without_a_pace_nobody_can_say_when_a_counter_ends():
    code = code_of("counter n from 1 to 99, at end stop block { line: n }")
    assert coming_days(code.resolve().subject(), START, 5) == Ahead()


def test_fixed_dates_pass_and_have_passed():
    body = "clock a = 2028-06-30 clock b = 2027-10-31 clock c = 2030-02-28 + 1 year\n"
    body += 'block { line: "EXP " a(dd MMM yyyy) " " b(MM yyyy) " " c(yyyy) }'
    assert days_of(body) == [
        ("2027-10-31", "date-passes", "the fixed date of b has passed"),
        ("2028-06-30", "date-passes", "the fixed date of a passes"),
        ("2031-12-31", "date-passes", "the fixed date of c passes"),
    ]
    assert len(days_of(body, years=2)) == 2


def test_the_next_day_is_one_that_needs_somebody():
    body = PACKED + "clock exp = 2028-06-30\n"
    body += "counter n from 1 to 99, restart weekly of packed, at end stop\n"
    body += 'block { line: "EXP " exp(dd MMM yyyy) packed(dd) n(00) }'
    subject = code_of(body).resolve(START).subject()
    ahead = coming_days(subject, START, 5)
    assert [one.kind for one in ahead.days] == [Kind.RESTART, Kind.DATE_PASSES]
    assert ahead.next_day.kind in ENDS
    assert Ahead(ahead.days[:1]).next_day.kind is Kind.RESTART
    assert Ahead().next_day is None


def test_what_cannot_be_looked_at_is_said():
    subject = code_of(PACKED + "block { line: packed(dd) }").resolve(START).subject()
    ahead = coming_days(subject, START.replace(year=9990), 30)  # beyond the years of calendars
    assert ahead.days == ()
    assert ahead.cannot_say == (
        "whether it can be printed to the end", "when its counters start again",
    )  # fmt: skip


def test_typed_dates_that_pick_rows_are_no_all_clear():
    body = PACKED + 'input made date "dd.MM.yy", within 28 days before packed\n'
    body += 'table yy { 2027 -> "A" }\nblock { line: made(dd) made(yyyy, table yy) packed(dd) }'
    code = code_of(body)
    subject = code.resolve(START, inputs={"made": "20.11.27"}).subject()
    assert coming_days(subject, START, 5).cannot_say == ("what comes of dates that are typed",)


def test_edges_are_where_the_shift_or_the_day_changes():
    body = PACKED + 'shift crew of packed { "A" from 06:00 "B" from 14:00 "C" from 22:30 }\n'
    plan = code_of(body + "block { line: packed(dd) crew }").plan
    start = datetime(2028, 10, 28, 12, tzinfo=UTC)  # the clocks go back on the 29th
    found = edges_of(plan, start, start + timedelta(days=2))
    expected, before = [], None
    for minute in range(2 * 24 * 60):
        moment = start + timedelta(minutes=minute)
        at = plan.at(Instant(moment))
        now = at.clock("packed").day, at.shift("crew").began
        if before and now[1] != before[1]:
            expected.append((moment, "crew", at.shift("crew").label))
        if before and now[0] != before[0]:
            expected.append((moment, "packed", ""))
        before = now
    assert [(edge.at, edge.of, edge.label) for edge in found] == expected
    assert [edge.at.strftime("%d %H:%M") for edge in found if edge.of == "crew"] == [
        "28 14:00", "28 22:30", "29 06:00", "29 14:00", "29 22:30", "30 06:00",
    ]  # fmt: skip

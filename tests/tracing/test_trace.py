"""Tracing printed lines back, against Python's own calendar and against what was printed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from rasterc.diagnostics import InputError
from rasterc.source.load import load_message
from rasterc.tracing.trace import trace
from rasterc.values import Plan, prepare

MESSAGES = Path(__file__).parents[2] / "shared" / "messages"
DUBLIN = ZoneInfo("Europe/Dublin")
START = datetime(2024, 1, 1)


def shared(name: str) -> Plan:
    plan, faults = prepare(load_message(MESSAGES / f"{name}.rasterc"))
    assert not faults
    return plan


def with_clock(brute, field: str, **more: str) -> Plan:
    declared = 'clock packed in "Europe/Dublin"\n' + more.get("declared", "")
    return brute.plan_of(brute.message_text(declared, [field]))


def spans(result) -> list[tuple[datetime, datetime]]:
    return [(match.start, match.until) for match in result.matches()]


def local(*parts: int, fold: int = 0) -> datetime:
    return datetime(*parts, tzinfo=DUBLIN, fold=fold)


def test_a_whole_code_has_one_minute_and_one_counter_value():
    result = trace(shared("best-before"), ["BEST BEFORE END AUG 2028", "L27329B 14:05 0042"], START)
    [match] = result.matches()
    assert (match.start, match.until) == (local(2027, 11, 25, 14, 5), local(2027, 11, 25, 14, 6))
    assert match.counters["case"].ranges == (range(42, 43),)
    assert result.minutes == 1


def test_unread_characters_give_every_possibility():
    result = trace(shared("best-before"), ["*", "L27329B 14:?5 00?2"], START)
    assert [start.minute for start, _ in spans(result)] == [5, 15, 25, 35, 45, 55]
    [group] = result.groups
    assert group.counters["case"].ranges == (range(2, 93, 10),)


def test_lines_may_come_in_one_text():
    lines = "BEST BEFORE END AUG 2028\r\nL27329B 14:05 0042"
    assert len(trace(shared("best-before"), [lines], START)) == 1


def test_week_years_are_those_of_iso_8601():
    """Python's `date.isocalendar` tells the days of each week."""
    plan = shared("cable-metre")
    for year, week in ((2026, 53), (2027, 1), (2028, 52), (2032, 53)):
        result = trace(plan, [f"QM-FLEX 3G1.5 300/500V {year}W{week:02} 00250M"], START)
        days = {START.date() + timedelta(days=n) for n in range(3653)}
        expected = {day for day in days if day.isocalendar()[:2] == (year, week)}
        [(start, until)] = spans(result)
        found = {
            start.date() + timedelta(days=n) for n in range((until.date() - start.date()).days)
        }
        assert found == expected


def test_an_hour_that_comes_twice_is_found_twice(brute):
    """Dublin's clocks went back at 01:00 UTC on 2027-10-31 (EU Directive 2000/84/EC)."""
    result = trace(with_clock(brute, "packed(yyyy-MM-dd HH:mm)"), ["2027-10-31 01:30"], START)
    moments = [start.astimezone(UTC) for start, _ in spans(result)]
    assert moments == [
        datetime(2027, 10, 31, 0, 30, tzinfo=UTC), datetime(2027, 10, 31, 1, 30, tzinfo=UTC),
    ]  # fmt: skip


def test_an_hour_that_is_skipped_is_not_found(brute):
    result = trace(with_clock(brute, "packed(yyyy-MM-dd HH:mm)"), ["2027-03-28 01:30"], START)
    assert len(result) == 0
    assert result.failure is not None


def test_a_month_end_goes_back_to_all_its_days():
    """36 months less a day, then to the month's end: November 2030 comes from 2 November 2027,
    a month on, as 1 November less one day is in October."""
    result = trace(shared("lot-expiry"), ["LOT QK?417", "EXP 11/2030"], START)
    assert spans(result) == [(local(2027, 11, 2), local(2027, 12, 2))]
    assert result.groups[0].inputs == {"lot": ("QK?417",)}


def test_an_unread_digit_is_worked_out_from_the_check_digit():
    """The code of the message's own example; its check digit follows the GS1 rule."""
    plan = shared("pallet-serial")
    for place in range(len("(00)3"), len("(00)300000420001234562")):
        read = "(00)300000420001234562"
        result = trace(plan, [read[:place] + "?" + read[place + 1 :]])
        [match] = result.matches()
        assert match.counters["pallet"].ranges == (range(123456, 123457),)
        assert match.start is None


def test_a_wrong_check_digit_is_no_match():
    result = trace(shared("pallet-serial"), ["(00)300000420001234563"])
    assert len(result) == 0
    assert "check characters" in result.failure.message


def test_check_characters_of_too_many_codes_are_left_open():
    result = trace(shared("pallet-serial"), ["(00)30000042????????" + "?2"])
    assert not result.verified
    assert result.groups[0].counters["pallet"].ranges == (range(1, 10_000_000),)


def test_check_characters_that_were_not_read_need_not_be_worked_out():
    result = trace(shared("pallet-serial"), ["(00)30000042????????" + "??"])
    assert result.verified
    assert result.groups[0].counters["pallet"].ranges == (range(1, 10_000_000),)


def test_seconds_are_any_of_the_minute(brute):
    plan = with_clock(brute, "packed(ddHHmmss)")
    result = trace(plan, ["25140537"], datetime(2027, 11, 1), years=1)
    assert spans(result)[0] == (local(2027, 11, 25, 14, 5), local(2027, 11, 25, 14, 6))
    assert len(trace(plan, ["25140560"], START)) == 0


@pytest.mark.parametrize(
    ("lines", "line", "place"),
    [
        (["BEST BEFORE END AUG 2028", "L27329C 14:05 0042"], 1, 8),
        (["BEST BEFORE END AUG 2028", "L27329B 14:05 0O42"], 1, 15),
        (["BEST BEFORE END AUX 2028", "L27329B 14:05 0042"], 0, 18),
        (["BEST BEFORE END AUG 2028", "L27329B 14:05 042"], 1, -1),
    ],
)
def test_the_first_place_that_cannot_be_is_told(lines, line, place):
    failure = trace(shared("best-before"), lines, START).failure
    assert (failure.line, failure.place) == (line, place)
    assert f"line {line + 1}" in failure.message


def test_an_open_input_tells_what_was_read(brute):
    plan = brute.plan_of(
        brute.message_text("input lot length 2 to 4", ['"LOT " lot(upper) "." lot(last 2)'])
    )
    [match] = trace(plan, ["LOT AB1.B?"]).matches()
    assert match.inputs == {"lot": ("[Aa]B1",)}
    assert len(trace(plan, ["LOT AB1.C?"])) == 0


def test_letters_that_become_two_in_capitals_are_found(brute):
    """Unicode: the capital of sharp s is SS."""
    plan = brute.plan_of(brute.message_text("input word length 3 to 4", ["word(upper)"]))
    [match] = trace(plan, ["ASSE"]).matches()
    assert "[Aa]ß[Ee]" in match.inputs["word"]


def test_ten_years_of_minutes_are_searched_whole():
    plan = shared("best-before")
    lines = ["BEST BEFORE END ??? ????", "L?????? ??:?5 ????"]
    result = trace(plan, lines, START, years=10)
    assert result.minutes == 6 * 24 * (date(2034, 1, 1) - date(2024, 1, 1)).days


@pytest.mark.parametrize(
    ("lines", "options", "code"),
    [
        (["one line"], {}, "wrong-number-of-lines"),
        (["*", "*"], {"years": 0}, "bad-horizon"),
        (["*", "*"], {"years": 101}, "bad-horizon"),
        (["*", "*"], {"start": datetime(9990, 1, 1)}, "bad-horizon"),
        (["*", "*"], {"start": datetime(1850, 1, 1)}, "bad-horizon"),
        (["*", "*"], {"start": datetime(2027, 3, 28, 1, 30)}, "no-such-time"),
    ],
)
def test_what_cannot_be_searched_is_said(lines, options, code):
    with pytest.raises(InputError) as caught:
        trace(shared("best-before"), lines, **options)
    assert [d.code for d in caught.value.diagnostics] == [code]


def test_a_field_that_cannot_be_undone_is_said(brute):
    declared = 'input lot length 3\ntable t { A -> "x"  other -> "y" }'
    plan = brute.plan_of(brute.message_text(declared, ["lot(table t)"]))
    with pytest.raises(InputError) as caught:
        trace(plan, ["y"])
    assert caught.value.diagnostics[0].code == "cannot-trace"

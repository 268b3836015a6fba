"""Comparing two versions of the demo plant's messages."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from rasterc.api import load_text
from rasterc.code import Code
from rasterc.diagnostics import InputError
from rasterc.tracing.alike import shared_given
from rasterc.tracing.declared import Change
from rasterc.tracing.diff import diff
from rasterc.tracing.differences import DiffResult, Side
from rasterc.tracing.given import Given

MESSAGES = Path(__file__).parents[2] / "shared" / "messages"
START = datetime(2024, 1, 1)
DAYS = (date(2034, 1, 1) - date(2024, 1, 1)).days
EVERY = DAYS * 24 * 60


def versions(name: str, *changes: tuple[str, str]) -> tuple[Code, Code]:
    text = (MESSAGES / f"{name}.rasterc").read_text()
    new = text
    for before, after in changes:
        assert before in new
        new = new.replace(before, after)
    old, new = (load_text(t, folder=MESSAGES) for t in (text, new))
    return old, new


def compare(name: str, *changes: tuple[str, str], given: Given | None = None) -> DiffResult:
    old, new = versions(name, *changes)
    values = shared_given(old.plan, new.plan, given or Given(), given or Given())
    sides = [Side(c.plan, v, c.fonts) for c, v in zip((old, new), values, strict=True)]
    return diff(*sides, START)


def test_a_message_prints_the_same_as_itself():
    result = compare("best-before")
    assert result.same
    assert (result.minutes, result.first, result.declared) == (0, None, ())


def test_another_way_to_say_the_same_is_no_difference():
    """A month's end nine months on lies in the same month as the day nine months on."""
    result = compare("best-before", ("9 months to month end", "9 months"))
    assert result.same
    [declared] = result.declared
    assert (declared.change, declared.what) == (Change.CHANGED, "clock best")


def test_another_shelf_life_differs_always():
    result = compare("best-before", ("9 months", "10 months"))
    assert (result.minutes, result.days, result.line_minutes) == (EVERY, DAYS, (EVERY, 0))
    assert result.first.at == datetime(2024, 1, 1, tzinfo=ZoneInfo("Europe/Dublin"))
    assert result.first.old == ("BEST BEFORE END SEP 2024", "L23365C 00:00 0001")
    assert result.first.new == ("BEST BEFORE END OCT 2024", "L23365C 00:00 0001")


def test_hours_without_leading_zero_differ_before_ten():
    result = compare("best-before", ("HH:mm", "H:mm"))
    # Clocks that go forward skip 01:00 to 02:00, those that go back pass it twice.
    assert result.minutes == DAYS * 10 * 60
    assert result.characters.change == -1


def test_an_earlier_production_day_differs_in_its_half_hour():
    result = compare("best-before", ("06:00\n  clock", "05:30\n  clock"))
    assert result.minutes == DAYS * 30
    assert all((result.ends - result.starts) == 30)


def test_a_day_and_year_changed_about_are_equal_only_where_they_read_the_same():
    """yyDDD and DDDyy agree when year, day and year read alike: 24 + 242 is no palindrome."""
    result = compare("best-before", ("yyDDD", "DDDyy"))
    alike = sum(
        1
        for n in range(-1, DAYS)
        if (day := date.fromordinal(date(2024, 1, 1).toordinal() + n))
        and f"{day:%y%j}" == f"{day:%j%y}"
    )
    assert result.minutes == EVERY - alike * 24 * 60


def test_check_characters_are_compared_where_they_are_printed():
    result = compare("can-base", ("iso7064-mod97-10", "iso7064-mod1271-36"))
    assert result.exact
    assert 0 < result.minutes <= EVERY
    assert result.line_minutes[0] == 0


def test_another_font_looks_different_though_texts_are_the_same():
    result = compare("cable-metre", ("upright-5", "upright-5 spacing 2"))
    assert result.minutes == 0
    assert not result.same
    assert result.strokes.change > 0
    assert "spacing 2" in result.declared[0].new


def test_a_version_that_cannot_print_says_why():
    rows = 'table t { 1 -> "A" other -> "B" }'
    old = load_text(
        'message m { raster 7 font upright-7 clock c in "UTC" '
        + rows
        + " block { line: c(M, table t) } }"
    )
    new = load_text(
        'message m { raster 7 font upright-7 clock c in "UTC" '
        + rows.replace('other -> "B"', '2 -> "B"')
        + " block { line: c(M, table t) } }"
    )
    result = diff(Side(old.plan), Side(new.plan), START, years=1)
    assert result.first.old == ("B",)
    assert result.first.new == ()
    assert [fault.code for fault in result.first.faults] == ["no-such-key"]
    assert result.days == (date(2025, 1, 1) - date(2024, 3, 1)).days
    assert result.strokes is None


def test_messages_without_clocks_are_compared_once():
    result = compare("pallet-serial", ("0000042", "0000043"))
    assert (result.zone, result.minutes) == (None, 1)
    assert result.first.new == ("(00)300000430000000013",)


def test_values_are_shared_where_both_versions_take_them():
    old, new = versions("best-before", ("from 1 to 9999", "from 10 to 9999"))
    before, after = shared_given(old.plan, new.plan, Given(), Given())
    assert (before.counters["case"], after.counters["case"]) == (1, 10)
    old, new = versions("best-before", ("from 1 to 9999", "from 0 to 9999"))
    before, after = shared_given(old.plan, new.plan, Given(), Given())
    assert (before.counters["case"], after.counters["case"]) == (1, 1)


def test_a_missing_input_is_said():
    with pytest.raises(InputError) as caught:
        compare("lot-expiry")
    assert caught.value.diagnostics[0].code == "input-missing"
    assert compare("lot-expiry", given=Given({}, {"lot": "AB1234"})).same


@pytest.mark.parametrize(
    "change",
    [
        ("from 1 to 9999", "from 0 to 9999"),
        ("from 1 to 9999", "from 1 to 500"),
        ("at end stop", "at end wrap"),
        ("restart daily of packed", "restart never"),
    ],
)
def test_a_counter_that_counts_otherwise_is_no_sameness(change):
    result = compare("best-before", change, given=Given({"case": 1}, {}))
    assert result.minutes == 0
    assert result.other_values == ("counter case",)
    assert not result.same
    assert compare("best-before", given=Given({"case": 1}, {})).same

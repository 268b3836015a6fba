"""Clocks: production days, steps, and clock changes.

Clock changes are those of the IANA time zone database: 2027-03-28 and 2027-10-31 in Europe,
2027-03-14 and 2027-11-07 in New York, 2027-10-03 and 2027-04-04 (30 minutes) on Lord Howe Island.
"""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.source.times import Clock, ShortMonth
from rasterc.values import Instant, prepare
from rasterc.values.dates.zones import find_zone, gap_end, settle

ZONES = ("Europe/Dublin", "Europe/Warsaw", "America/New_York", "Australia/Lord_Howe", "UTC")


def show(make, clocks, field, when):
    plan, faults = prepare(make.message(field, clocks=clocks))
    assert faults == []
    return plan.resolve(Instant(when)).lines[0]


def best(make, *steps, zone="Europe/Dublin", day_from=0, **options):
    return [
        make.clock("packed", zone, day_from),
        make.derived("best", "packed", *steps, **options),
    ]


STAMP = "best(yyyy-MM-dd HH:mm)"


@pytest.mark.parametrize(
    ("when", "text"),
    [
        ("2028-02-29 05:59", "2028-02-28 05:59"),
        ("2028-02-29 06:00", "2028-02-29 06:00"),
        ("2028-03-01 00:00", "2028-02-29 00:00"),
        ("2028-01-01 05:59", "2027-12-31 05:59"),
    ],
)
def test_date_letters_show_the_production_day_and_time_letters_the_wall(make, when, text):
    clocks = [make.clock(day_from=6 * 60)]
    assert show(make, clocks, "packed(yyyy-MM-dd HH:mm)", datetime.fromisoformat(when)) == text


def test_week_year_and_day_of_year_follow_the_production_day(make):
    clocks = [make.clock(day_from=6 * 60)]
    when = datetime(2027, 1, 4, 5, 59)  # a Monday; the production day is Sunday of 2026-W53
    assert show(make, clocks, "packed(YYYY-ww-e D)", when) == "2026-53-7 3"


@pytest.mark.parametrize(
    ("steps", "text"),
    [
        ([(9, "month")], "2028-10-31"),
        ([(1, "month")], "2028-02-29"),
        ([(1, "month"), (1, "month")], "2028-03-29"),
        ([(-1, "day")], "2028-01-30"),
        ([(2, "week")], "2028-02-14"),
        ([(1, "year"), "month end"], "2029-01-31"),
        (["month start"], "2028-01-01"),
        (["year start"], "2028-01-01"),
        (["year end"], "2028-12-31"),
        ([("weekday", 0)], "2028-01-31"),  # 2028-01-31 is a Monday
        ([("next weekday", 0)], "2028-02-07"),
        ([("previous weekday", 0)], "2028-01-24"),
        ([("weekday", 4)], "2028-02-04"),
        ([("next weekday", 4)], "2028-02-04"),
        ([("previous weekday", 4)], "2028-01-28"),
    ],
)
def test_steps(make, steps, text):
    """Days read off a calendar."""
    made = []
    for step in steps:
        if isinstance(step, str):
            made.append(make.to(step))
        elif isinstance(step[0], str):
            made.append(make.to(*step))
        else:
            made.append(make.plus(*step))
    clocks = best(make, *made)
    assert show(make, clocks, "best(yyyy-MM-dd)", datetime(2028, 1, 31, 12)) == text


@pytest.mark.parametrize(
    ("rule", "start", "text"),
    [
        (ShortMonth.LAST_DAY, "2028-01-31", "2028-02-29"),
        (ShortMonth.NEXT_DAY, "2028-01-31", "2028-03-01"),
        (ShortMonth.CARRY, "2028-01-31", "2028-03-02"),
        (ShortMonth.CARRY, "2027-01-31", "2027-03-03"),
        (ShortMonth.NEXT_DAY, "2027-01-30", "2027-03-01"),
        (ShortMonth.NEXT_DAY, "2027-01-28", "2027-02-28"),
    ],
)
def test_short_months(make, rule, start, text):
    clocks = best(make, make.plus(1, "month"), short_month=rule)
    assert show(make, clocks, "best(yyyy-MM-dd)", datetime.fromisoformat(start)) == text


def test_steps_move_the_production_day(make):
    """05:59 on the first still belongs to the last of the month before."""
    clocks = best(make, make.to("month end"), day_from=6 * 60)
    assert show(make, clocks, STAMP, datetime(2028, 3, 1, 5, 59)) == "2028-02-29 05:59"


def test_derived_clocks_inherit_zone_and_day_start(make):
    clocks = best(make, make.plus(2, "hour"), day_from=6 * 60)
    assert show(make, clocks, STAMP, datetime(2028, 3, 1, 3, 0)) == "2028-02-29 05:00"
    assert show(make, clocks, STAMP, datetime(2028, 3, 1, 4, 0)) == "2028-03-01 06:00"


def test_fixed_date_needs_no_time(make):
    clocks = [Clock("start", make.nowhere, fixed=date(2027, 1, 31), steps=(make.plus(1, "month"),))]
    assert show(make, clocks, "start(yyyy-MM-dd HH:mm)", None) == "2027-02-28 00:00"


@pytest.mark.parametrize(
    ("zone", "when", "step", "text"),
    [
        # elapsed time through the change
        ("Europe/Warsaw", "2027-03-28 01:30", (1, "hour"), "2027-03-28 03:30"),
        ("Europe/Warsaw", "2027-10-31 01:30", (2, "hour"), "2027-10-31 02:30"),
        ("Europe/Warsaw", "2027-10-31 01:30", (120, "minute"), "2027-10-31 02:30"),
        ("America/New_York", "2027-11-07 00:30", (24, "hour"), "2027-11-07 23:30"),
        ("Australia/Lord_Howe", "2027-10-03 01:45", (30, "minute"), "2027-10-03 02:45"),
        ("Australia/Lord_Howe", "2027-04-04 01:15", (60, "minute"), "2027-04-04 01:45"),
        # calendar moves keep the wall time, and go forward out of a gap
        ("Europe/Warsaw", "2027-03-27 02:30", (1, "day"), "2027-03-28 03:30"),
        ("Europe/Dublin", "2027-03-27 01:30", (1, "day"), "2027-03-28 02:30"),
        ("America/New_York", "2027-02-14 02:15", (1, "month"), "2027-03-14 03:15"),
        ("Australia/Lord_Howe", "2027-10-02 02:10", (1, "day"), "2027-10-03 02:40"),
        ("Europe/Warsaw", "2027-03-27 12:00", (1, "day"), "2027-03-28 12:00"),
        ("Europe/Dublin", "2027-10-30 01:30", (1, "day"), "2027-10-31 01:30"),
    ],
)
def test_clock_changes(make, zone, when, step, text):
    clocks = best(make, make.plus(*step), zone=zone)
    assert show(make, clocks, STAMP, datetime.fromisoformat(when)) == text


def test_a_day_moved_into_a_gap_stays_that_production_day(make):
    """The day starts at 02:30, in the gap: 02:15 moves to 03:15 but the day stays as moved."""
    clocks = best(make, make.plus(1, "day"), zone="Europe/Warsaw", day_from=150)
    assert show(make, clocks, STAMP, datetime(2027, 3, 27, 2, 15)) == "2027-03-27 03:15"


def test_repeated_times_keep_their_pass_when_moved_from_one_to_another(make):
    """From the second 01:30 of 2027-10-31, 364 days lead to the second one of 2028-10-29."""
    clocks = best(make, make.plus(364, "day"), zone="Europe/Dublin")
    plan, _ = prepare(make.message(STAMP, clocks=clocks))
    for utc_hour, offset in ((0, 1), (1, 0)):
        when = datetime(2027, 10, 31, utc_hour, 30, tzinfo=UTC)
        wall = plan.at(Instant(when)).clock("best").wall
        assert (wall.date(), wall.hour) == (date(2028, 10, 29), 1)
        assert wall.utcoffset() == timedelta(hours=offset)


def test_repeated_wall_time_is_the_first_unless_the_fold_says_so(make):
    plan, _ = prepare(make.message("packed(HH:mm)", clocks=[make.clock()]))
    first = plan.resolve(Instant(datetime(2027, 10, 31, 1, 30)))
    second = plan.resolve(Instant(datetime(2027, 10, 31, 1, 30, fold=1)))
    assert first.instant.when.astimezone(UTC).hour == 0
    assert second.instant.when.astimezone(UTC).hour == 1


def test_skipped_wall_time_is_refused(make):
    plan, _ = prepare(make.message("packed(HH:mm)", clocks=[make.clock()]))
    for when in (
        datetime(2027, 3, 28, 1, 30),
        datetime(2027, 3, 28, 1, 30, tzinfo=ZoneInfo("Europe/Dublin")),
    ):
        with pytest.raises(InputError, match="01:30 on 2027-03-28 does not exist in Europe/Dublin"):
            plan.resolve(Instant(when))


def test_naive_time_with_several_zones_is_refused(make):
    clocks = [make.clock("here"), make.clock("there", "Europe/Warsaw"), make.clock("unused", "UTC")]
    plan, _ = prepare(make.message("here(HH)", "there(HH)", clocks=clocks))
    with pytest.raises(InputError, match="zone-unclear") as caught:
        plan.resolve(Instant(datetime(2027, 1, 1)))
    assert "Europe/Dublin, Europe/Warsaw" in str(caught.value)
    assert plan.resolve(Instant(datetime(2027, 1, 1, tzinfo=UTC))).lines == ("00", "01")


def test_a_zone_that_no_line_reads_does_not_make_the_time_unclear(make):
    clocks = [make.clock("here"), make.clock("unused", "Europe/Warsaw")]
    plan, _ = prepare(make.message("here(HH)", clocks=clocks))
    assert plan.resolve(Instant(datetime(2027, 1, 1, 7))).lines == ("07",)


def test_missing_time(make):
    plan, _ = prepare(make.message("packed(HH)", clocks=[make.clock()]))
    with pytest.raises(InputError, match=r"time-missing.*clock packed"):
        plan.resolve(Instant())


def test_a_message_that_reads_no_clock_needs_no_time(make):
    plan, _ = prepare(make.message('"A"', clocks=[make.clock()]))
    assert plan.resolve(Instant()).lines == ("A",)


@pytest.mark.parametrize(
    "steps", [[(8000, "year")], [(-3000, "year")], [(10**30, "minute")], [(10**12, "day")]]
)
def test_dates_out_of_range(make, steps):
    clocks = best(make, *(make.plus(*step) for step in steps))
    plan, _ = prepare(make.message("best(yyyy)", clocks=clocks))
    with pytest.raises(InputError, match="clock best is outside the years 1 to 9999"):
        plan.resolve(Instant(datetime(2027, 1, 1)))


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("when", [datetime.min, datetime.max])
@pytest.mark.parametrize("tz", [None, UTC])
def test_ends_of_the_calendar_give_texts_or_diagnostics(make, zone, when, tz):
    clocks = best(make, make.plus(1, "day"), zone=zone, day_from=60)
    plan, _ = prepare(make.message("best(yyyy-MM-dd w Y)", clocks=clocks))
    with pytest.raises(InputError, match="date-out-of-range"):
        plan.resolve(Instant(when.replace(tzinfo=tz)))
        plan.resolve(Instant(datetime.max))


@given(
    when=st.datetimes(datetime(1990, 1, 1), datetime(2037, 1, 1)),
    zone=st.sampled_from(ZONES),
    fold=st.integers(0, 1),
)
def test_settling_agrees_with_dateutil(when, zone, fold):
    """dateutil resolves skipped times the same way, and knows which exist."""
    from dateutil import tz

    ours = settle(when, find_zone(zone, None), fold)
    theirs = when.replace(tzinfo=tz.gettz(zone), fold=fold)
    if not tz.datetime_exists(theirs):
        assert ours.replace(tzinfo=None) > when
        assert ours == tz.resolve_imaginary(theirs.replace(fold=0)).astimezone(UTC)
    else:
        assert ours == theirs.astimezone(UTC)


def test_end_of_a_gap():
    zone = find_zone("Australia/Lord_Howe", None)
    assert str(gap_end(datetime(2027, 10, 3, 2, 10), zone)) == "2027-10-03 02:30:00+11:00"
    assert gap_end(datetime(2027, 10, 3, 1, 59), zone) is None


@pytest.mark.parametrize(
    "name", ["Europe/Dubln", "../etc/passwd", "Europe", "", "localtime", "zone.tab", "a\0"]
)
def test_unknown_zones(make, name):
    faults = prepare(make.message(clocks=[make.clock(zone=name)]))[1]
    assert [fault.code for fault in faults] == ["unknown-zone"]
    assert faults[0].span.text == f'"{name}"'
    assert faults[0].help.startswith(("did you mean", "write it like"))


MOMENTS = st.datetimes(datetime(2027, 1, 1), datetime(2028, 12, 31), timezones=st.just(UTC))


@given(when=MOMENTS, zone=st.sampled_from(ZONES), minutes=st.integers(-(10**6), 10**6))
def test_minutes_are_elapsed_time(make, when, zone, minutes):
    clocks = best(make, make.plus(minutes, "minute"), zone=zone, day_from=300)
    moment = prepare(make.message("best(dd)", clocks=clocks))[0].at(Instant(when))
    value = moment.clock("best")
    assert value.wall.astimezone(UTC) - when == timedelta(minutes=minutes)
    assert value.day == (value.wall.replace(tzinfo=None) - timedelta(minutes=300)).date()


@given(when=MOMENTS, zone=st.sampled_from(ZONES), days=st.integers(-800, 800))
def test_days_keep_the_wall_time_unless_it_is_skipped(make, when, zone, days):
    clocks = best(make, make.plus(days, "day"), zone=zone, day_from=300)
    moment = prepare(make.message("best(dd)", clocks=clocks))[0].at(Instant(when))
    before, after = moment.clock("packed"), moment.clock("best")
    assert after.day == before.day + timedelta(days=days)
    kept = before.wall.replace(tzinfo=None, fold=0) + timedelta(days=days)
    moved = after.wall.replace(tzinfo=None, fold=0) - kept
    if gap_end(kept, ZoneInfo(zone)) is None:
        assert not moved
    else:
        assert moved in (timedelta(minutes=30), timedelta(hours=1))

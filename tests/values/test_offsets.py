"""Offsets of zones as arrays, held against one moment at a time."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

import numpy as np
import pytest

from rasterc.diagnostics import InputError
from rasterc.source.times import Unit
from rasterc.values.dates.offsets import (
    check_horizon,
    minute_of,
    moment_of,
    offsets_between,
    wall_of,
)
from rasterc.values.dates.zones import gap_end, settle

# Zones with changes that are unusual: half an hour, two hours, at midnight, by religious
# calendars, a day left out, negative summer time, and none at all.
ODD_ZONES = (
    "Africa/Casablanca", "America/Scoresbysund", "Antarctica/Troll", "Asia/Beirut", "Asia/Gaza",
    "Asia/Tehran", "Australia/Lord_Howe", "Europe/Dublin", "Pacific/Apia", "Pacific/Chatham", "UTC",
)  # fmt: skip
MORE_ZONES = sorted(available_timezones())[::20]


@pytest.mark.parametrize("key", [*ODD_ZONES, *MORE_ZONES])
def test_offsets_are_those_of_zoneinfo(key):
    # zoneinfo is Python's own reading of the time zone database
    zone = ZoneInfo(key)
    first, end = (minute_of(datetime(year, 1, 1, tzinfo=UTC)) for year in (1975, 2099))
    offsets = offsets_between(key, first, end)
    utc = np.concatenate([np.arange(first, end, 1440 * 9), offsets.changes, offsets.changes - 1])
    expected = [moment_of(int(t)).astimezone(zone).utcoffset() // timedelta(minutes=1) for t in utc]
    assert offsets.at(utc).tolist() == expected


@pytest.mark.parametrize("key", ODD_ZONES)
def test_wall_times_stand_for_the_moments_they_do_alone(key):
    # zoneinfo, by `values.zones`, for every half hour of the days around changes
    zone = ZoneInfo(key)
    first, end = (minute_of(datetime(year, 1, 1, tzinfo=UTC)) for year in (2009, 2013))
    offsets = offsets_between(key, first, end)
    near = np.arange(-1680, 1710, 30)
    wall = np.concatenate([[first], *(change + near for change in offsets.after.tolist())])
    for fold in (0, 1):
        walls, ahead = offsets.settle(wall, np.full(wall.shape, bool(fold)))
        second = offsets.is_second(walls, ahead)
        for minute, to, by, again in zip(wall, walls, ahead, second, strict=True):
            alone = settle(wall_of(int(minute)), zone, fold)
            assert alone.replace(tzinfo=None, fold=0) == wall_of(int(to)), (minute, fold)
            assert alone.utcoffset() == timedelta(minutes=int(by))
            assert alone.fold == again
    for minute, to in zip(wall, offsets.gap_ends(wall), strict=True):
        alone = gap_end(wall_of(int(minute)), zone)
        assert wall_of(int(to)) == (alone.replace(tzinfo=None) if alone else wall_of(int(minute)))


def test_an_offset_of_a_part_of_a_minute_is_refused():
    # Liberia kept -0:44:30 up to 7 January 1972 (IANA time zone database; from memory)
    before, after = (minute_of(datetime(1972, 1, day, tzinfo=UTC)) for day in (3, 12))
    assert offsets_between("Africa/Monrovia", after, after).ahead.tolist() == [0]
    with pytest.raises(InputError) as caught:
        offsets_between("Africa/Monrovia", before, before)
    assert [d.code for d in caught.value.diagnostics] == ["odd-offset"]


@pytest.mark.parametrize("minute", [-(10**10), 10**10])
def test_minutes_beyond_the_calendar_have_the_offsets_of_its_ends(minute):
    assert offsets_between("UTC", minute, minute).ahead.tolist() == [0]


@pytest.mark.parametrize(
    ("start", "years", "fine"),
    [
        (None, 1, True), (None, 0, False), (None, 51, False),
        (date(1974, 1, 1), 50, True), (date(1973, 12, 31), 50, False),
        (date(9940, 1, 1), 50, True), (date(9941, 1, 1), 50, False),
    ],
)  # fmt: skip
def test_years_that_cannot_be_looked_at_are_refused(start, years, fine):
    if fine:
        check_horizon(start, years, 50)
        return
    with pytest.raises(InputError) as caught:
        check_horizon(start, years, 50)
    assert [d.code for d in caught.value.diagnostics] == ["bad-horizon"]


def test_minutes_and_hours_are_elapsed_time():
    elapsed = {unit: unit.elapsed_minutes for unit in Unit if unit.elapsed_minutes}
    assert elapsed == {Unit.MINUTE: 1, Unit.HOUR: 60}

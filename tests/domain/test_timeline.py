"""Cells and calendar held against one moment or day at a time."""

import random
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from rasterc.api import load_text
from rasterc.domain.calendar import DAY_0, FEATURES, date_of, move
from rasterc.domain.timeline import Tracks
from rasterc.source.times import MoveTo, Offset, ShortMonth, Target, Unit
from rasterc.values import Instant
from rasterc.values.dates.offsets import minute_of, moment_of, offsets_between, wall_of
from rasterc.values.dates.steps import add_offset, move_to

MESSAGE = """message test { raster 16 font upright-7
  clock a in "Europe/Dublin", day from 06:00
  clock b = a + 9 months
  clock c = a + 36 hours + 1 month - 30 minutes
  shift s of a { "A" from 01:30  "B" from 14:00 on mon to fri  "C" from 22:00 }
  clock d = start of s
  clock e = start of s + 90 minutes
  clock f in "Australia/Lord_Howe"
  clock g = f + 1 day to friday, short month next-day
  shift t of b { "X" from 01:15  "Y" from 02:15 on sat, sun }
  shift r of a every 5 days from 2027-03-26 { "P" from 01:30 on 1, 3  "Q" from 22:00 on 4 to 1 }
  clock k = start of r + 1 day
  clock h = start of t + 5 hours
  clock i in "UTC"
  clock j = 2027-05-01 + 1 month
  block { line: "L" a(d) }
}
"""


@pytest.mark.parametrize("rule", ShortMonth)
@pytest.mark.parametrize(
    "step",
    [
        *(Offset(n, unit, None) for n in (1, 9, -7, 18) for unit in Unit if unit not in
          (Unit.MINUTE, Unit.HOUR)),
        *(MoveTo(target, weekday, None) for target in Target for weekday in (0, 3, 6)),
    ],
)  # fmt: skip
def test_steps_are_those_of_one_day_at_a_time(step, rule):
    days = np.arange((date(1999, 12, 1) - DAY_0).days, (date(2004, 4, 1) - DAY_0).days)
    expected = [
        add_offset(date_of(day), step, rule) if isinstance(step, Offset)
        else move_to(date_of(day), step)
        for day in days
    ]  # fmt: skip
    assert [date_of(day) for day in move(days, step, rule)] == expected


def test_features_of_days_are_those_of_datetime():
    days = np.arange((date(1999, 12, 1) - DAY_0).days, (date(2033, 4, 1) - DAY_0).days)
    found = {name: feature(days).tolist() for name, feature in FEATURES.items()}
    for index, day in enumerate(map(date_of, days)):
        iso = day.isocalendar()  # the ISO 8601 week date of the standard library
        expected = {
            "era": 1,  # of two, the later: datetime begins in year 1
            "year": day.year,
            "iso year": iso.year,
            "quarter": (day.month + 2) // 3,
            "month": day.month,
            "week": iso.week,
            "day": day.day,
            "day of year": day.timetuple().tm_yday,
            "weekday": iso.weekday,
            "date": days[index],
        }
        assert {name: values[index] for name, values in found.items()} == expected


def test_cells_show_what_every_clock_and_shift_shows():
    plan = load_text(MESSAGE).plan
    first, end = (minute_of(datetime(year, 1, 1, tzinfo=UTC)) for year in (2027, 2029))
    line = Tracks(plan, first, end).line(plan.clocks, plan.schedules)
    for minute in _minutes_to_look_at(first, end):
        cell = int(np.searchsorted(line.starts, minute, "right")) - 1
        moment = plan.at(Instant(moment_of(minute)))
        for name, reading in line.clocks.items():
            value = moment.clock(name)
            later = minute - int(line.starts[cell]) if reading.runs else 0
            assert value.day == date_of(reading.day[cell]), (name, minute)
            wall = wall_of(int(reading.wall[cell]) + later)
            assert value.wall.replace(tzinfo=None, fold=0) == wall, (name, minute)
            if value.wall.tzinfo is not None:  # a fixed date is in no zone
                assert value.wall.utcoffset() == timedelta(minutes=int(reading.ahead[cell]))
        for name, running in line.shifts.items():
            label = plan.schedules[name].labels[running.point[cell]]
            assert moment.shift(name).label == label, (name, minute)


def _minutes_to_look_at(first, end):
    """Some by chance, and many around clock changes and days on which derived clocks meet one."""
    chance = random.Random(20271031)
    minutes = [chance.randrange(first, end) for _ in range(1500)]
    for zone in ("Europe/Dublin", "Australia/Lord_Howe"):
        for change in offsets_between(zone, first, end).changes.tolist():
            for days in (0, -1, -2, -30, -31, -273, -274, -275, -276):
                minutes += [
                    change + 1440 * days + hours * 60 + chance.randrange(-5, 65)
                    for hours in (-6, -2, -1, 0, 1, 2, 6)
                ]
    return [minute for minute in minutes if first <= minute < end]

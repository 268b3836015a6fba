"""Shifts: which runs when, and where it begins."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.source.times import Clock
from rasterc.values import Instant, prepare
from rasterc.values.dates.shifts import schedule

MON_TO_FRI = (0, 1, 2, 3, 4)


def three(make):
    return make.shift("crew", "packed", ("A", 6 * 60), ("B", 14 * 60), ("C", 22 * 60))


@pytest.mark.parametrize(
    ("when", "label", "day"),
    [
        ("2028-02-29 05:59", "C", "2028-02-28"),
        ("2028-02-29 06:00", "A", "2028-02-29"),
        ("2028-02-29 13:59", "A", "2028-02-29"),
        ("2028-02-29 14:00", "B", "2028-02-29"),
        ("2028-02-29 22:00", "C", "2028-02-29"),
        ("2028-03-01 00:00", "C", "2028-02-29"),
    ],
)
def test_three_shifts_a_day(make, when, label, day):
    message = make.message("crew", clocks=[make.clock(day_from=6 * 60)], shifts=[three(make)])
    plan, _ = prepare(message)
    moment = plan.at(Instant(datetime.fromisoformat(when)))
    running = moment.shift("crew")
    assert (running.label, str(running.day)) == (label, day)


def test_weekend_shift_runs_until_the_next_begins(make):
    crew = make.shift(
        "crew", "packed", ("D", 360, MON_TO_FRI), ("N", 1080, MON_TO_FRI), ("W", 360, (5,))
    )
    plan, faults = prepare(make.message("crew", clocks=[make.clock()], shifts=[crew]))
    assert faults == []

    def label(when):
        return plan.resolve(Instant(datetime.fromisoformat(when))).lines[0]

    assert label("2028-03-04 05:59") == "N"  # Saturday, Friday's night shift
    assert label("2028-03-04 06:00") == "W"
    assert label("2028-03-05 23:00") == "W"  # Sunday
    assert label("2028-03-06 05:59") == "W"  # Monday
    assert label("2028-03-06 06:00") == "D"


def test_start_of_a_shift(make):
    """A shift that begins before the production day does belongs to the day before."""
    crew = make.shift("crew", "packed", ("E", 4 * 60), ("L", 16 * 60))
    start = Clock("begun", make.nowhere, shift="crew", steps=(make.plus(8, "hour"),))
    bare = Clock("start", make.nowhere, shift="crew")
    message = make.message(
        "start(MM-dd HH:mm)",
        "begun(MM-dd HH:mm)",
        clocks=[make.clock(day_from=6 * 60), start, bare],
        shifts=[crew],
    )
    plan, faults = prepare(message)
    assert faults == []
    lines = plan.resolve(Instant(datetime(2028, 3, 1, 7, 30))).lines
    assert lines == ("02-29 04:00", "03-01 12:00")


def test_shift_that_begins_when_clocks_go_forward(make):
    """Warsaw skips 02:30 on 2027-03-28: the shift begins as the clocks jump to 03:00."""
    crew = make.shift("crew", "packed", ("E", 150), ("L", 14 * 60))
    clocks = [make.clock(zone="Europe/Warsaw"), Clock("start", make.nowhere, shift="crew")]
    plan, _ = prepare(make.message("start(HH:mm) crew", clocks=clocks, shifts=[crew]))
    assert plan.resolve(Instant(datetime(2027, 3, 28, 3, 10))).lines == ("03:00E",)
    assert plan.resolve(Instant(datetime(2027, 3, 28, 1, 59))).lines == ("14:00L",)


def test_shifts_go_by_wall_time_when_clocks_go_back(make):
    crew = make.shift("crew", "packed", ("E", 150), ("L", 14 * 60))
    clocks = [make.clock(zone="Europe/Warsaw")]
    plan, _ = prepare(make.message("crew", clocks=clocks, shifts=[crew]))
    for fold in (0, 1):
        assert plan.resolve(Instant(datetime(2027, 10, 31, 2, 29, fold=fold))).lines == ("L",)
        assert plan.resolve(Instant(datetime(2027, 10, 31, 2, 30, fold=fold))).lines == ("E",)


@given(
    points=st.lists(
        st.tuples(st.integers(0, 1439), st.integers(0, 6)), min_size=1, max_size=6, unique=True
    ),
    wall=st.datetimes(datetime(2027, 1, 1), datetime(2028, 1, 1)),
)
def test_running_shift_by_walking_back(make, points, wall):
    """The brute-force twin: walk back minute by minute to the latest beginning."""
    parts = [(str(i), minute, (weekday,)) for i, (minute, weekday) in enumerate(points)]
    ready, _ = schedule(make.shift("crew", "packed", *parts), 0)
    at = wall.replace(second=0, microsecond=0)
    begins = {(minute, weekday): str(i) for i, (minute, weekday) in enumerate(points)}
    while (at.hour * 60 + at.minute, at.weekday()) not in begins:
        at -= timedelta(minutes=1)
    running = ready.running(wall)
    assert (running.began, running.label) == (at, begins[at.hour * 60 + at.minute, at.weekday()])


def test_two_parts_that_begin_together(make):
    crew = make.shift("crew", "packed", ("A", 360), ("B", 360, (0, 1)))
    _, faults = prepare(make.message(clocks=[make.clock()], shifts=[crew]))
    assert [(f.code, f.span.text) for f in faults] == [("overlapping-shifts", "B")] * 2
    assert '"A" and "B" both begin at 06:00 on Monday' in faults[0].message

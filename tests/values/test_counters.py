"""Counters: texts, values, what comes next, restarts."""

from datetime import date, datetime, timedelta
from itertools import chain, groupby
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.source.declarations import DIGITS_36, Restart
from rasterc.values import Instant, prepare, restart_key
from rasterc.values.dates.clocks import fixed_clock
from rasterc.values.dates.parts import PARTS
from rasterc.values.given.counters import (
    text_of,
    value_of,
    widest,
)


@given(value=st.integers(0, 10**12), base=st.integers(2, 36))
def test_texts_read_back_as_python_reads_them(make, value, base):
    counter = make.counter("case", 0, 10**12, digits=DIGITS_36[:base])
    text = text_of(counter, value)
    assert int(text, base) == value
    assert value_of(counter, text) == value
    assert value_of(counter, "  " + DIGITS_36[0] + text) == value


def test_digits_of_its_own(make):
    counter = make.counter("case", 0, 99, digits="ABCDEFGHJK")
    assert text_of(counter, 90) == "KA"
    assert value_of(counter, "I") is None
    assert value_of(counter, "") is None


@pytest.mark.parametrize(("first", "last"), [(1, 9999), (9999, 1), (0, 0), (7, 100), (100, 7)])
@pytest.mark.parametrize("step", [1, 30])
def test_widest_by_trying_all(make, first, last, step):
    counter = make.counter("case", first, last, step=step)
    assert widest(counter) == max(len(str(value)) for value in counter.values)


RESTARTS = {
    Restart.DAILY: ("packed", "2028-03-01 05:59", "2028-03-01 06:00", (2028, 3, 1)),
    Restart.WEEKLY: ("packed", "2026-12-28 05:59", "2026-12-28 06:00", (2026, 53)),
    Restart.MONTHLY: ("packed", "2028-03-01 05:59", "2028-03-01 06:00", (2028, 3)),
    Restart.YEARLY: ("packed", "2028-01-01 05:59", "2028-01-01 06:00", (2028,)),
    Restart.SHIFT: ("crew", "2028-03-01 13:59", "2028-03-01 14:00", (2028, 3, 1, 14, 0)),
}


def test_every_restart_is_tried():
    assert {*RESTARTS, Restart.NEVER} == set(Restart)


@pytest.mark.parametrize("restart", Restart)
def test_a_restart_has_all_its_properties(restart):
    """What names are given is known: a restart without one would be a restart that never comes."""
    assert restart.of in ("", "clock", "shift")
    assert {*restart.parts, *chain(*restart.shown_by)} <= set(PARTS)
    assert bool(restart.of) == bool(restart.shown_by) == (restart.longest_days < inf)
    assert bool(restart.parts) == (restart.of == "clock")


@pytest.mark.parametrize("restart", [r for r in Restart if r.parts])
def test_no_run_of_a_counter_is_longer_than_its_restart_says(restart):
    """Every day from 1990 to 2060, so that all lengths of months, years and weeks are met."""
    days = (date(1990, 1, 1) + timedelta(days=n) for n in range(70 * 365))
    values = (fixed_clock(day) for day in days)
    keys = (tuple(PARTS[name].of(value) for name in restart.parts) for value in values)
    runs = [len(list(run)) for _, run in groupby(keys)]
    assert max(runs) == restart.longest_days


@pytest.mark.parametrize(
    ("restart", "of", "last_minute", "next_minute", "next_key"),
    [(restart, *case) for restart, case in RESTARTS.items()],
)
def test_restarts(make, restart, of, last_minute, next_minute, next_key):
    counter = make.counter("case", 1, 9, restart=restart, restart_of=of)
    crew = make.shift("crew", "packed", ("A", 360), ("B", 840))
    message = make.message(
        "case", clocks=[make.clock(day_from=360)], shifts=[crew], counters=[counter]
    )
    plan, _ = prepare(message)

    def key(when):
        return restart_key(counter, plan.at(Instant(datetime.fromisoformat(when))))

    assert key(last_minute) != key(next_minute)
    assert key(next_minute) == key(next_minute.replace(":00", ":59")) == next_key


def test_a_counter_that_never_restarts_needs_no_time(make):
    counter = make.counter("case", 1, 9)
    plan, _ = prepare(make.message("case", counters=[counter]))
    assert restart_key(counter, plan.at(Instant())) == ()

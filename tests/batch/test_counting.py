"""Counters over a job against going through it row by row with `restart_key`."""

from datetime import datetime, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.batch.counting import Going, first_stop, stretches_of
from rasterc.batch.pace import Pace
from rasterc.batch.rows import micros_of, moment_at
from rasterc.diagnostics import InputError
from rasterc.source.declarations import AtEnd
from rasterc.values import Instant, restart_key

MESSAGE = """message m {{ raster 7 font upright-7
  clock packed in "{zone}", day from {day}
  shift crew of packed {{ "A" from 06:00 on mon to fri "B" from 14:00 "C" from 22:30 }}
  counter n from {numbers}, {restart}, at end {end}
  block {{ line: packed(dd) n }} }}"""
STARTS = (
    datetime(2026, 10, 24, 22), datetime(2026, 3, 28, 22), datetime(2027, 12, 31, 12),
    datetime(2026, 10, 25, 0, 59, 59), datetime(2027, 2, 28, 5, 59, 59, 999_999),
)  # fmt: skip


def slowly(plan, pace, count, before):
    """The value of each row, and the first that is not printed."""
    counter = plan.message.counters["n"]
    key, printed, values, stop = None, before, [], None
    for row in range(count):
        moment = plan.at(Instant(moment_at(pace.at(row)), {}, {}))
        now = restart_key(counter, moment)
        if key is not None and now != key:
            printed = 0
        key = now
        index = printed // counter.repeat
        if stop is None and index >= len(counter.values) and counter.at_end is AtEnd.STOP:
            stop = row
        values.append(counter.values[index % len(counter.values)])
        printed += 1
    return values, stop


@settings(max_examples=120, deadline=None)
@given(
    data=st.data(),
    zone=st.sampled_from(["Europe/Dublin", "UTC", "Australia/Lord_Howe"]),
    day=st.sampled_from(["00:00", "06:00", "01:30"]),
    numbers=st.sampled_from(
        ["1 to 9", "9 down to 1", "0 to 40, step 10, each 3 times", "1 to 999"]
    ),
    restart=st.sampled_from(
        ["restart daily of packed", "restart per crew", "restart weekly of packed", "restart never",
         "restart monthly of packed", "restart yearly of packed"]
    ),
    end=st.sampled_from(["stop", "wrap"]),
)  # fmt: skip
def test_same_as_row_by_row(made, data, zone, day, numbers, restart, end):
    code = made.load(MESSAGE.format(zone=zone, day=day, numbers=numbers, restart=restart, end=end))
    counter = code.message.counters["n"]
    start = data.draw(st.sampled_from(STARTS)).replace(tzinfo=ZoneInfo(zone))
    step = data.draw(
        st.sampled_from([240_000, Fraction(60_000_000, 7), 3_600_000_000, 86_400_000_000])
    )
    pace = Pace(micros_of(start), Fraction(step))
    count = data.draw(st.integers(1, 200))
    before = data.draw(st.integers(0, len(counter.values) * counter.repeat - 1))
    values, stop = slowly(code.plan, pace, count, before)
    stretches = stretches_of(code.plan, counter, pace, count, before)
    found = first_stop({"n": stretches}, count)
    assert (None if found is None else found.row) == stop
    until = count if stop is None else stop
    rows = np.arange(until)
    assert stretches.values(rows).tolist() == values[:until]
    cut = data.draw(st.integers(0, until))
    going = Going(code.plan, counter, before)
    told = []
    for first, end_ in ((0, cut), (cut, count)):
        if first < end_:
            some, good = going.next(pace.moments(first, end_ - first), end_ - first)
            told += some.tolist()[:good]
            if good < end_ - first:
                break
    assert told[:until] == values[:until]
    assert stop is None or len(told) == stop


@given(
    step=st.fractions(min_value=Fraction(1, 1000), max_value=10**9, max_denominator=10**6),
    first=st.integers(0, 10**10),
)
def test_moments_are_exact(step, first):
    pace = Pace(micros_of(datetime(2027, 1, 1, tzinfo=ZoneInfo("UTC"))), step)
    if pace.at(first + 4) > 253_402_128_000 * 10**6:  # the last days of 9999
        with pytest.raises(InputError, match="after the year 9999"):
            pace.moments(first, 5)
        return
    found = pace.moments(first, 5).tolist()
    assert found == [pace.at(first + n) for n in range(5)]
    assert found[0] == pace.start + (first * step).__floor__()
    row = pace.first_row(found[3])
    assert pace.at(row) >= found[3]
    assert row == 0 or pace.at(row - 1) < found[3]
    assert moment_at(found[0]) - moment_at(pace.start) >= timedelta(0)

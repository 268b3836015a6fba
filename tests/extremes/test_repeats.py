"""Repeats held against looking at every minute, and against the calendar."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.extremes.repeats import repeats, repeats_within
from rasterc.extremes.rounds import Round
from rasterc.extremes.shelf_life import read_shelf_life
from rasterc.source.declarations import Restart
from rasterc.values import Instant, restart_key

RESTARTS = [restart for restart in Restart if restart.of]
OF = {"clock": "of packed", "shift": "crew"}
COUNTERS = "\n".join(
    f"counter c-{r} from 1 to 3, restart {r.word} {OF[r.of]}, at end stop" for r in RESTARTS
)
DECLARED = f"""{COUNTERS}
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 1 month
  clock away in "America/New_York"
  clock began = start of crew
  shift crew of packed {{ "A" from 06:00  "B" from 14:00  "B" from 22:00 on mon, tue }}
  shift turn of packed every 5 days from 2027-10-28 {{ "C" from 06:00 on 1 to 2  "D" from 01:30 }}
  counter round from 1 to 3, at end wrap
  counter once from 1 to 3, at end stop
  table quarter every 15 minutes of hour {{ "W" "I" "W" "T" }}
"""
PIECES = (
    '"L"', "packed(dd)", "packed(DDD)", "packed(EEEEE)", "packed(HH:mm)", "packed(hh)", "packed(a)",
    "packed(mm)", "packed(table quarter)", "best(MM)", "best(HH)", "away(HH)", "away(a)",
    "began(dd)", "began(HH)", "crew", "turn", "round(0)",
    *(f"c-{restart}(0)" for restart in RESTARTS),
)  # fmt: skip
STARTS = ("2027-10-29 05:00", "2027-03-26 20:00", "2027-12-30 22:30", "2027-06-01 00:00")


def brute_gap(code, horizon, brute, seconds=False):
    """The shortest gap in steps, from a list of what every minute or second can print."""
    counters = code.message.counters
    printed = {field.name for field in code.plan.fields} & set(counters)
    once = [counters[name] for name in sorted(printed) if counters[name].at_end == "stop"]
    runs = {}
    best = None
    for step, when in enumerate(brute.moments(horizon, seconds)):
        moment = code.plan.at(Instant(when))
        text = code.plan.resolve(Instant(when)).lines
        key = tuple(restart_key(counter, moment) for counter in once)
        mine = runs.setdefault(text, [])
        if mine and mine[-1][1] == step and mine[-1][2] == key:
            mine[-1][1] = step + 1
            continue
        for _, end, other in mine:
            apart = all(a != b for a, b in zip(key, other, strict=True))
            if apart and (best is None or step - end < best):
                best = step - end
        mine.append([step, step + 1, key])
    return best


@settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(
    pieces=st.lists(st.sampled_from(PIECES), min_size=1, max_size=4),
    start=st.sampled_from(STARTS),
    minutes=st.integers(60, 5000),
)
def test_the_shortest_gap_is_that_of_looking_at_every_minute(brute, pieces, start, minutes):
    code = brute.code_of(DECLARED, f"line: {' '.join(pieces)}")
    horizon = brute.stretch(start, minutes)
    report = repeats_within(code.plan, horizon)
    assert report.exact
    found = brute_gap(code, horizon, brute) if code.plan.fields else None
    if report.always:
        assert found is None
        return
    assert report.gap == (None if found is None else timedelta(minutes=found))
    if report.gap is not None:
        first, last, again = report.first, report.last, report.again
        assert first.lines == last.lines == again.lines
        gap = again.instant.when.astimezone(UTC) - last.instant.when.astimezone(UTC)
        assert gap - timedelta(minutes=1) == report.gap
        assert first.instant.when <= last.instant.when


@pytest.mark.parametrize("pieces", ["packed(ss)", "packed(HH:mm:ss)", "packed(dd) packed(mm:ss)"])
def test_the_shortest_gap_of_seconds(brute, pieces):
    code = brute.code_of(DECLARED, f"line: {pieces}")
    horizon = brute.stretch("2027-10-31 00:30", 130)
    report = repeats_within(code.plan, horizon)
    assert report.gap == timedelta(seconds=brute_gap(code, horizon, brute, seconds=True))


@pytest.mark.parametrize(
    ("line", "gap"),
    [
        # From start to start less the day itself; over a change of clocks an hour less. Ten years
        # have 3651 days when 2100, no leap year, is among them. Computed with datetime.
        ("packed(dd MMM)", timedelta(days=364, hours=-1)),
        ("packed(EEE)", timedelta(days=6, hours=-1)),
        ("packed(y, last 1) packed(DDD)", timedelta(days=10 * 365, hours=-1)),
        ("packed(dd.MM.yy)", timedelta(days=100 * 365 + 23, hours=-1)),
        ("packed(HH:mm)", timedelta(minutes=59)),  # the hour that comes twice
        ("packed(dd MMM yyyy)", None),
        ("packed(dd MMM yyyy) c-daily(0)", None),
        ("c-daily(0)", timedelta(0)),  # again as soon as it has restarted
    ],
)
def test_gaps_that_the_calendar_tells(brute, line, gap):
    declared = DECLARED.replace(", day from 06:00", "")
    code = brute.code_of(declared, f"line: {line}")
    assert repeats(code.plan, date(2027, 1, 1)).gap == gap


def test_a_counter_that_stops_and_never_restarts_never_prints_again(brute):
    code = brute.code_of(DECLARED, "line: packed(EEE) once(0)")
    report = repeats(code.plan, date(2027, 1, 1))
    assert (report.gap, report.always) == (None, False)
    assert "once" in report.never
    weekday = repeats(code.plan, date(2027, 1, 1), fields=["packed"])
    assert weekday.gap == timedelta(days=6, hours=-1)


def test_a_part_of_a_counter_can_come_again_at_any_time(brute):
    code = brute.code_of(DECLARED.replace("to 3", "to 333"), "line: once(000, last 2)")
    report = repeats(code.plan, date(2027, 1, 1))
    assert report.always


def test_a_wrapping_counter_tells_its_prints(brute):
    declared = DECLARED.replace("round from 1 to 3", "round from 1 to 29, step 2, each 4 times")
    code = brute.code_of(declared, "line: packed(dd MMM yyyy) round(00)")
    report = repeats(code.plan, date(2027, 1, 1))
    assert report.rounds == (Round("round", 60, "wraps"),)
    assert report.gap is None


def test_an_unknown_field_is_answered_with_the_nearest(brute):
    code = brute.code_of(DECLARED, "line: packed(EEE)")
    with pytest.raises(InputError) as caught:
        repeats(code.plan, date(2027, 1, 1), fields=["packd", "best"])
    [first, second] = caught.value.diagnostics
    assert (first.code, first.help) == ("unknown-field", 'did you mean "packed"?')
    assert '"best"' in second.message  # declared, but not printed


def test_a_shelf_life_in_months_is_taken_at_its_longest():
    # computed with datetime: 1 July to 1 January of any year has 184 days, no six months more
    six = read_shelf_life("6 months")
    lengths = [
        datetime(year + (month + 5) // 12, (month + 5) % 12 + 1, 1) - datetime(year, month, 1)
        for year in range(1999, 2402)
        for month in range(1, 13)
    ]
    assert six.longest == max(lengths) == timedelta(days=184)
    assert read_shelf_life("1 YEAR").longest == timedelta(days=366)
    assert str(read_shelf_life("36 hours")) == "36 hours"
    assert str(read_shelf_life("007 days")) == "7 days"
    endless = "9" * 5_000 + " days"  # Python turns no more than 4,300 digits into a number
    for bad in ("", "18", "18 moons", "-1 day", "0 days", "1.5 years", "months", endless):
        with pytest.raises(InputError):
            read_shelf_life(bad)


def test_a_field_that_cannot_be_followed_is_said_to_be_so(brute):
    code = brute.code_of(DECLARED, "line: packed(HHmmss, last 3)")
    report = repeats(code.plan, date(2027, 1, 1))
    assert (report.exact, report.always, report.first) == (False, False, None)
    assert "packed" in report.why

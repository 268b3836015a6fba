"""Prints with typed dates traced back, against trying every hour and every day."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from itertools import product
from zoneinfo import ZoneInfo

import numpy as np
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.tracing.diff import diff_between
from rasterc.tracing.differences import Side
from rasterc.tracing.given import Given
from rasterc.tracing.trace import trace_between
from rasterc.values import Instant
from rasterc.values.dates.offsets import minute_of, moment_of

DECLARED = """
  clock packed in "Europe/Dublin", day from 06:00
  clock best = made + 1 month
  clock last = packed + 9 days
  input made date "dd.MM.yy", {made}
  input cut date "yyyy-MM-dd", {cut}
  counter case from 9 to 11
  text serial = {serial}
  check proof = {proof}
  table odd {{ 1 -> "I" 2 -> "MM" 30 -> "" other -> "W" }}
"""
LIMITS = (
    "within 3 days before packed", "within 0 days after packed", "within 1 week after packed",
    "not before packed, not after last", "within 1 week after 2027-10-27",
    "not after 2027-11-01, within 5 days before packed",
)  # fmt: skip
FIELDS = (
    "made", "made(d.M.yy)", "made(EEE, upper)", "made(last 2)", "made(d, table odd)", "cut(DDD)",
    "cut(e)", "cut", "best(dd MMM)", "best(d)", "packed(dd)", "packed(HH)", "packed(H)", "case",
    "serial", "serial(last 3)", "proof", '"-"',
)  # fmt: skip
SERIALS = ("made(d) case", "cut(dd) packed(d)", "made(d) cut(d)")
PROOFS = ("gs1-mod10 of made(yyMMdd)", "luhn of made(dd) packed(HH)", "damm of cut(DDD) case")
FORMS = {"made": "%d.%m.%y", "cut": "%Y-%m-%d"}
ZONE = ZoneInfo("Europe/Dublin")
STARTS = ("2027-10-30 20:00", "2027-10-31 00:00", "2028-02-28 22:00")
HOURS = 14


def message(draw, limits: dict[str, str]) -> str:
    declared = DECLARED.format(
        **limits, serial=draw(st.sampled_from(SERIALS)),
        proof=draw(st.sampled_from(PROOFS)),
    )  # fmt: skip
    chosen = st.lists(st.sampled_from(FIELDS), min_size=1, max_size=3).map(" ".join)
    lines = draw(st.lists(chosen, min_size=1, max_size=2))
    shown = "\n".join(f"line: {line}" for line in lines)
    return f"message test {{ raster 16 font upright-7\n{declared}\nblock {{ {shown} }} }}"


def possibilities(plan, first: int) -> list[tuple[str, str, int]]:
    """Texts of both dates and cases; one only of those that no field prints."""
    printed = {field.name for field in plan.fields}
    near = {moment_of(first).date() + timedelta(days) for days in range(-5, 11)}
    near |= {date(2027, 10, 27) + timedelta(days) for days in range(8)}
    made = [f"{day:%d.%m.%y}" for day in near] if {"made", "best"} & printed else [""]
    cut = [f"{day:%Y-%m-%d}" for day in near] if "cut" in printed else [""]
    return list(product(made, cut, (9, 10, 11) if "case" in printed else (9,)))


def within(limits: str, day: date, made: date) -> bool:
    """Whether a day is within the limits, by hand, on a day of production."""
    return {
        LIMITS[0]: made - timedelta(3) <= day <= made,
        LIMITS[1]: day == made,
        LIMITS[2]: made <= day <= made + timedelta(7),
        LIMITS[3]: made <= day <= made + timedelta(9),
        LIMITS[4]: date(2027, 10, 27) <= day <= date(2027, 11, 3),
        LIMITS[5]: made - timedelta(5) <= day <= min(date(2027, 11, 1), made),
    }[limits]


@settings(
    max_examples=6,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
)
@given(st.data())
def test_every_possibility_is_found_and_no_other(brute, data):
    limits = {name: data.draw(st.sampled_from(LIMITS)) for name in ("made", "cut")}
    plan = brute.plan_of(message(data.draw, limits))
    start = datetime.fromisoformat(data.draw(st.sampled_from(STARTS))).replace(tzinfo=UTC)
    first = minute_of(start)
    end = first + 60 * HOURS
    printed: dict[tuple[int, str, str, int], tuple[str, ...]] = {}
    for minute, (made, cut, case) in product(range(first, end, 60), possibilities(plan, first)):
        inputs = {name: text for name, text in (("made", made), ("cut", cut)) if text}
        today = (moment_of(minute).astimezone(ZONE) - timedelta(hours=6)).date()
        may = [
            within(limits[name], datetime.strptime(text, FORMS[name]).date(), today)
            for name, text in inputs.items()
        ]
        instant = Instant(moment_of(minute), {"case": case}, inputs)
        try:
            printed[minute, made, cut, case] = plan.resolve(instant).lines
            assert all(may), (inputs, today)
        except InputError as error:
            assert not all(may) or "no row" in str(error), (inputs, today)
    if not printed:
        return
    lines = data.draw(st.sampled_from(sorted(set(printed.values()))))
    smudge = data.draw(st.sampled_from([0, 0, 3, 2]))
    read = tuple(
        "".join("?" if smudge and at % smudge == 0 else c for at, c in enumerate(line))
        for line in lines
    )
    expected = {value for value, text in printed.items() if brute.fits(read, text)}
    result = trace_between(plan, read, first, end)
    assert result.verified
    found = set()
    for group in result.groups:
        for value in printed.keys() | expected:
            minute, made, cut, case = value
            hit = ((group.starts <= minute) & (minute < group.ends)).any()
            texts = {"made": made, "cut": cut}
            same = all(texts[n] in some for n, some in group.inputs.items())
            cases = group.counters.get("case")
            counted = cases is None or any(case in part for part in cases.ranges)
            if hit and same and counted:
                found.add(value)
        # nothing but what can be typed then: each text shown is within its limits somewhere
        for name, some in group.inputs.items():
            assert "..." in some or all(
                any(value[1 if name == "made" else 2] == text for value in expected)
                for text in some
            )
    assert sorted(found - expected)[:3] == []
    assert sorted(expected - found)[:3] == []


def test_every_day_of_three_years_is_traced_back(brute):
    plan = brute.plan_of(
        """message meat { raster 16 font upright-7
        clock packed in "Europe/Dublin", day from 06:00
        input made date "dd.MM.yy", within 3 years after packed
        clock best = made + 28 days
        block { line: made packed(yyDDDHH) line: best(dd MMM yyyy) } }"""
    )
    when = datetime(2027, 3, 1, 12, tzinfo=UTC)
    first = minute_of(datetime(2027, 1, 1, tzinfo=UTC))
    for ahead in range(0, 3 * 365 + 2, 61):
        text = f"{date(2027, 3, 1) + timedelta(ahead):%d.%m.%y}"
        try:
            lines = plan.resolve(Instant(when, {}, {"made": text})).lines
        except Exception as error:
            assert ahead > 3 * 365 + 1, error  # 2028 has a 29th of February
            continue
        result = trace_between(plan, lines, first, first + 366 * 1440)
        [match] = result.matches()
        assert (match.start, match.inputs) == (when, {"made": (text,)})


def test_diff_prints_nothing_where_a_date_is_not_allowed(brute):
    text = """message m {{ raster 7 font upright-7
      clock packed in "UTC"
      input made date "dd.MM.yy", within {days} days after packed
      block {{ line: made packed(HH) }} }}"""
    old, new = (brute.plan_of(text.format(days=days)) for days in (3, 5))
    first = minute_of(datetime(2027, 3, 1, tzinfo=UTC))
    given = Given({}, {"made": "10.03.27"})
    result = diff_between(Side(old, given), Side(new, given), first, first + 20 * 1440)
    starts = [moment_of(int(at)).date() for at in result.starts]
    ends = [moment_of(int(at)).date() for at in result.ends]
    assert (starts, ends) == ([date(2027, 3, 5)], [date(2027, 3, 7)])  # the new one only


def test_what_is_not_allowed_is_no_match(brute):
    plan = brute.plan_of(
        """message m { raster 7 font upright-7
        clock packed in "UTC"
        input made date "dd.MM.yy", within 3 days before packed
        block { line: made packed(dd) } }"""
    )
    first = minute_of(datetime(2027, 3, 1, tzinfo=UTC))
    assert len(trace_between(plan, ["02.03.2705"], first, first + 20 * 1440)) == 1
    missed = trace_between(plan, ["02.03.2706"], first, first + 20 * 1440)
    assert len(missed) == 0 and missed.failure is not None
    assert re.search('nothing prints "6"', missed.failure.message)
    unread = trace_between(plan, ["??.??.??05"], first, first + 20 * 1440)
    assert sum(len(group.inputs["made"]) for group in unread.groups) == 4
    assert np.all(unread.groups[0].ends - unread.groups[0].starts == 1440)

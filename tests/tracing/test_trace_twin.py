"""Tracing against trying every minute, counter value and input, one by one."""

from __future__ import annotations

import os
import re

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc.tracing.trace import trace_between
from rasterc.values import Plan
from rasterc.values.dates.offsets import minute_of

EXAMPLES = int(os.environ.get("TRACE_EXAMPLES", "20"))
HOURS = 11
RANDOM = settings(
    max_examples=EXAMPLES,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # making a case smaller takes minutes
)
Found = set[tuple[int, int, str, str]]


def slowly(
    brute, plan: Plan, read: tuple[str, ...], first: int, end: int, parts: bool = False
) -> Found:
    """What printed the lines: (minute, case, lot, mark), by trying them all."""
    every = brute.possibilities(plan)
    return {
        (minute, *values)
        for minute in range(first, end)
        for values in every
        if brute.fits(read, brute.resolved(plan, minute, *values), parts)
    }


def quickly(
    brute, plan: Plan, read: tuple[str, ...], first: int, end: int, parts: bool = False
) -> Found:
    """The same from `trace_between`."""
    result = trace_between(plan, read, first, end, parts=parts)
    assert result.verified
    found: Found = set()
    for group in result.groups:
        values = [v for v in brute.possibilities(plan) if goes_with(group, *v)]
        assert values, "a group without any possible value"
        for start, until in zip(group.starts.tolist(), group.ends.tolist(), strict=True):
            found |= {(minute, *v) for minute in range(start, until) for v in values}
    return found


def goes_with(group, case: int, lot: str, mark: str) -> bool:
    cases = group.counters.get("case")
    if cases is not None and not any(case in part for part in cases.ranges):
        return False
    given = {"lot": lot, "mark": mark}
    return all(
        any(
            re.fullmatch(shown.replace(".", r"\.").replace("?", "."), given[name])
            for shown in texts
        )
        for name, texts in group.inputs.items()
    )


def held_against_brute_force(brute, data, spoilt, **parts):
    """Some print of a random message, read with what ``spoilt`` makes of its lines."""
    text = brute.message_text(data.draw(brute.declarations()), data.draw(brute.lines()))
    plan = brute.plan_of(text)
    start = data.draw(st.sampled_from(brute.STARTS)).replace(tzinfo=plan.clocks["packed"].zone)
    first = minute_of(start)
    at = first + data.draw(st.integers(0, HOURS * 60 - 1))
    printed = brute.resolved(plan, at, *data.draw(st.sampled_from(brute.possibilities(plan))))
    if printed is None:
        return
    read = tuple(data.draw(spoilt(line)) for line in printed)
    end = first + HOURS * 60
    expected = slowly(brute, plan, read, first, end, **parts)
    found = quickly(brute, plan, read, first, end, **parts)
    assert sorted(found - expected)[:3] == []
    assert sorted(expected - found)[:3] == []


@RANDOM
@given(st.data())
def test_every_possibility_is_found_and_no_other(brute, data):
    held_against_brute_force(brute, data, smudged)


@RANDOM
@given(st.data())
def test_parts_of_lines_are_found_wherever_they_stand(brute, data):
    held_against_brute_force(brute, data, torn, parts=True)


@st.composite
def torn(draw, line: str) -> str:
    """A part of a line as read, or nothing of it."""
    if not line or draw(st.integers(0, 4)) == 0:
        return "*"
    begin = draw(st.integers(0, len(line) - 1))
    return draw(smudged(line[begin : draw(st.integers(begin + 1, len(line)))]))


@st.composite
def smudged(draw, line: str) -> str:
    """A line with some characters unread, or one read wrong."""
    kind = draw(st.sampled_from(["clean", "some", "some", "most", "wrong"]))
    chars = list(line)
    for place in range(len(chars)):
        if kind == "most" or (kind == "some" and draw(st.booleans())):
            chars[place] = "?"
    if kind == "wrong" and chars:
        chars[draw(st.integers(0, len(chars) - 1))] = draw(st.sampled_from("019ALx"))
    return "".join(chars)


@RANDOM
@given(st.data())
def test_the_original_is_among_the_matches_of_ten_years(brute, data):
    text = brute.message_text(data.draw(brute.declarations()), data.draw(brute.lines()))
    plan = brute.plan_of(text)
    first = minute_of(brute.STARTS[0].replace(tzinfo=plan.clocks["packed"].zone))
    end = first + 10 * 365 * 24 * 60
    at = data.draw(st.integers(first, end - 1))
    values = data.draw(st.sampled_from(brute.possibilities(plan)))
    printed = brute.resolved(plan, at, *values)
    if printed is None:
        return
    result = trace_between(plan, printed, first, end)
    groups = [group for group in result.groups if goes_with(group, *values)]
    assert any(((g.starts <= at) & (at < g.ends)).any() for g in groups)

"""Comparing two versions against resolving both at every minute."""

from __future__ import annotations

import os
from datetime import timedelta
from zoneinfo import ZoneInfo

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc.api import load_text
from rasterc.code import Code
from rasterc.diagnostics import InputError
from rasterc.tracing.diff import diff_between
from rasterc.tracing.differences import DiffResult, Side
from rasterc.tracing.given import Given
from rasterc.values import Instant
from rasterc.values.dates.offsets import minute_of, moment_of

EXAMPLES = int(os.environ.get("TRACE_EXAMPLES", "25"))
HOURS = 9
Printed = tuple[tuple[str, ...], int]  # the lines, and the strokes of the message


def printed(code: Code, values: Given, minute: int) -> Printed | None:
    """What a version prints at a minute; None when it prints nothing."""
    try:
        shown = code.resolve_at(Instant(moment_of(minute), values.counters, values.inputs))
    except InputError:
        return None
    return shown.lines, shown.layout().length


@st.composite
def versions(draw, brute) -> tuple[str, str]:
    """A message and another version of it: other declarations, other fields, or both."""
    declared, lines = draw(brute.declarations()), draw(brute.lines())
    kind = draw(st.sampled_from(["declared", "field", "order", "both"]))
    changed = [line.split(" ") for line in lines] if kind == "order" else list(lines)
    if kind == "order":
        changed = [" ".join(draw(st.permutations(fields(line)))) for line in lines]
    elif kind != "declared":
        changed = draw(brute.lines())
    other = draw(brute.declarations()) if kind in ("declared", "both") else declared
    return brute.message_text(declared, lines), brute.message_text(other, changed)


def fields(line: str) -> list[str]:
    """The fields of a line of `brute.lines`, whose arguments may hold blanks."""
    out, depth = [""], 0
    for char in line:
        depth += {"(": 1, ")": -1}.get(char, 0)
        if char == " " and not depth:
            out.append("")
        else:
            out[-1] += char
    return out


@settings(
    max_examples=EXAMPLES,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
)
@given(st.data())
def test_every_difference_is_found_and_no_other(brute, data):
    texts = data.draw(versions(brute))
    codes = [load_text(text) for text in texts]
    values = [
        Given(
            {"case": data.draw(st.sampled_from(list(code.message.counters["case"].values)))},
            {"lot": data.draw(st.sampled_from(["a1", "B.2"])), "mark": "B7"},
        )
        for code in codes
    ]
    zone = codes[0].plan.clocks["packed"].zone
    first = minute_of(data.draw(st.sampled_from(brute.STARTS)).replace(tzinfo=zone))
    end = first + HOURS * 60
    result = diff_between(
        *(Side(c.plan, v, c.fonts) for c, v in zip(codes, values, strict=True)), first, end
    )
    assert result.exact
    both = [
        tuple(printed(code, v, minute) for code, v in zip(codes, values, strict=True))
        for minute in range(first, end)
    ]
    agree(result, both, first)
    if "proof" not in texts[0].partition("block")[2] + texts[1].partition("block")[2]:
        same_lengths(result, both)  # the strokes of check characters are not told exactly


def agree(result: DiffResult, both: list[tuple[Printed | None, ...]], first: int) -> None:
    """The minutes, their number, their days, and the first of them."""
    expected = [
        first + i for i, (old, new) in enumerate(both) if (old and old[0]) != (new and new[0])
    ]
    found = [
        minute
        for start, stop in zip(result.starts.tolist(), result.ends.tolist(), strict=True)
        for minute in range(start, stop)
    ]
    assert found == expected
    assert result.minutes == len(expected)
    if not expected:
        assert result.first is None
        return
    assert result.first is not None
    old, new = both[expected[0] - first]
    assert (result.first.old, result.first.new) == (old[0] if old else (), new[0] if new else ())
    if result.zone is not None:
        assert result.first.at == moment_of(expected[0])
        assert result.days == len({day(minute, result.zone) for minute in expected})


def day(minute: int, zone: ZoneInfo) -> object:
    return (moment_of(minute).astimezone(zone) + timedelta(0)).date()


def same_lengths(result: DiffResult, both: list[tuple[Printed | None, ...]]) -> None:
    """The largest changes in characters of a line and in strokes."""
    pairs = [(old, new) for old, new in both if old and new]
    if not pairs:
        return
    strokes = max((abs(new[1] - old[1]) for old, new in pairs), default=0)
    assert result.strokes is not None
    assert abs(result.strokes.change) == strokes
    characters = max(
        (abs(len(b) - len(a)) for old, new in pairs for a, b in zip(old[0], new[0], strict=False)),
        default=0,
    )
    assert abs(result.characters.change) == characters

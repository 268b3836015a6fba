"""Tracing of inputs with patterns of any kind, counters that wrap, and seconds, against trying
every value one by one."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from itertools import product

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc.api import load_text
from rasterc.diagnostics import InputError
from rasterc.tracing.trace import trace, trace_between
from rasterc.values import Instant
from rasterc.values.dates.offsets import minute_of

CHARS = "ABc1"
TEXTS = ["".join(some) for size in range(4) for some in product(CHARS, repeat=size)]
PIECES = st.sampled_from(
    ["lot", "lot(upper)", "lot(last 2)", "lot(first 1)", 'lot(pad 4 right "1")', "c", "c(00)",
     "c(last 1)", '"A"', '"1"', "lot(lower)"]
)  # fmt: skip
ATOMS = st.sampled_from(["A", "B", "c", "[AB]", "[^A]", ".", "\\d"])
PATTERNS = st.recursive(
    ATOMS,
    lambda inner: st.one_of(
        st.tuples(inner, inner).map("".join),
        st.tuples(inner, inner).map("({0[0]}|{0[1]})".format),
        st.tuples(inner, st.sampled_from(["?", "*", "{2}", "{1,2}"])).map("({0[0]}){0[1]}".format),
    ),
    max_leaves=4,
)
RANDOM = settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
)


def code_of(declared: str, line: str):
    return load_text(
        f"message m {{ raster 16 font upright-9 {declared} block {{ line: {line} }} }}"
    )


def line_of(plan, case: int, lot: str) -> str | None:
    try:
        return plan.resolve(Instant(None, {"c": case}, {"lot": lot})).lines[0]
    except InputError:
        return None


@RANDOM
@given(PATTERNS, st.lists(PIECES, min_size=1, max_size=3), st.data())
def test_inputs_and_counters_are_those_that_print_what_was_read(pattern, pieces, data):
    written = pattern.replace("\\", "\\\\")
    declared = f"""input lot matching "{written}", length 0 to 3
        counter c from 8 to 12, at end wrap"""
    plan = code_of(declared, " ".join(pieces)).plan
    matching = [t for t in TEXTS if re.fullmatch(pattern, t)]
    printed = {(c, t): line_of(plan, c, t) for c in range(8, 13) for t in matching}
    lines = [line for line in printed.values() if line]
    if not lines:
        return
    text = data.draw(st.sampled_from(lines))
    hidden = data.draw(st.lists(st.booleans(), min_size=len(text), max_size=len(text)))
    read = "".join("?" if hide else char for hide, char in zip(hidden, text, strict=True))
    fits = re.compile(re.escape(read).replace("\\?", "."))
    expected = {value for value, line in printed.items() if line and fits.fullmatch(line)}
    result = trace(plan, [read])
    assert result.verified
    assert {v for v in printed if any(goes_with(g, *v) for g in result.groups)} == expected


def goes_with(group, case: int, lot: str) -> bool:
    cases, lots = group.counters.get("c"), group.inputs.get("lot")
    if cases is not None and not any(case in part for part in cases.ranges):
        return False
    return lots is None or any(
        re.fullmatch(shown.replace(".", r"\.").replace("?", "."), lot) for shown in lots
    )


@RANDOM
@given(st.sampled_from(["mm:ss", "ss", "HHmmss", "m s"]), st.integers(0, 7199), st.data())
def test_minutes_are_those_of_which_some_second_prints_what_was_read(pattern, second, data):
    plan = code_of('clock packed in "Europe/Dublin"', f"packed({pattern})").plan
    start = datetime(2027, 10, 31, 0, tzinfo=UTC)  # the clocks go back at 01:00
    seconds = [start + timedelta(seconds=n) for n in range(7200)]
    text = plan.resolve(Instant(seconds[second])).lines[0]
    hidden = data.draw(st.lists(st.booleans(), min_size=len(text), max_size=len(text)))
    read = "".join("?" if hide else char for hide, char in zip(hidden, text, strict=True))
    fits = re.compile(re.escape(read).replace("\\?", "."))
    expected = {
        minute_of(at) for at in seconds if fits.fullmatch(plan.resolve(Instant(at)).lines[0])
    }
    found = trace_between(plan, [read], minute_of(start), minute_of(start) + 120)
    pairs = ((g.starts.tolist(), g.ends.tolist()) for g in found.groups)
    minutes = {m for s, e in pairs for a, b in zip(s, e, strict=True) for m in range(a, b)}
    assert minutes == expected

"""After how many prints a counter comes round, against going through its numbers one by one."""

from __future__ import annotations

from datetime import date
from itertools import islice

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rasterc.extremes.repeats import repeats
from rasterc.extremes.rounds import SHOWN_IN_PART, WRAPS, Round
from rasterc.values import Instant

FIELDS = (
    "c(0000, last 1)", "c(0000, last 2)", "c(0000, last 3)", "c(0000, first 2)", "c(0000, first 3)",
    "c(0000, from 2 to 3)", "c(0000, first 1) c(0000, last 1)", "c(0000, first 2) c(0000, last 1)",
    "c(last 2)", "c(first 2)", "c(000000, last 3, lower)", "c(0000, from 3 to 3) c(0000, last 1)",
)  # fmt: skip


def round_of(brute, counter: str, line: str) -> Round | None:
    code = brute.code_of(f'clock p in "UTC" counter c from {counter}', f'line: p(yy) "/" {line}')
    rounds = repeats(code.plan, date(2027, 1, 1), 2).rounds
    return next(iter(rounds), None)


def one_by_one(brute, counter: str, line: str) -> tuple[int, str] | None:
    """The least number of prints between two equal ones, along the whole counter twice."""
    code = brute.code_of(f"counter c from {counter}", f"line: {line}")
    declared = code.plan.message.counters["c"]
    texts = [code.plan.resolve(Instant(None, {"c": value})).lines[0] for value in declared.values]
    wraps = "at end wrap" in counter
    last: dict[str, int] = {}
    found = None
    for index, text in enumerate([*texts, *islice(texts, len(texts) if wraps else 0)]):
        if text in last and (found is None or index - last[text] < found):
            found = index - last[text]
        last[text] = index
    if found is None:
        return None
    return found, WRAPS if found == len(texts) else SHOWN_IN_PART


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 2000), st.integers(0, 400), st.integers(1, 60), st.booleans(), st.booleans(),
    st.sampled_from(FIELDS), st.sampled_from(["", "base 16"]),
)  # fmt: skip
def test_the_least_number_of_prints_is_that_of_all_numbers(
    brute, first, more, step, wraps, down, line, digits
):
    last = first + more // step * step
    said = f"{last} down to {first}" if down else f"{first} to {last}"
    options = [f"step {step}", digits, "at end wrap" if wraps else ""]
    counter = ", ".join([said, *filter(None, options)])
    found = round_of(brute, counter, line)
    expected = one_by_one(brute, counter, line)
    assert (found and (found.prints, found.why)) == expected, (counter, line)
    assert found is None or found.exact


@pytest.mark.parametrize(
    ("counter", "line", "expected"),
    [
        # by hand: the last five digits come again after 100000 steps of 1, 7 or 3
        ("1 to 99999999", "c(00000000, last 5)", (100_000, SHOWN_IN_PART)),
        ("1 to 99999999, step 7", "c(00000000, last 5)", (100_000, SHOWN_IN_PART)),
        # in steps of 4, 25000 of them make 100000
        ("0 to 99999996, step 4", "c(00000000, last 5)", (25_000, SHOWN_IN_PART)),
        # 150000 numbers that wrap: 100001 shows 00001, and 50000 prints later 1 does
        ("1 to 150000, at end wrap", "c(000000, last 5)", (50_000, SHOWN_IN_PART)),
        ("1 to 99999", "c(00000, last 5)", None),
        ("1 to 99999, at end wrap", "c(00000, last 5)", (99_999, WRAPS)),
        # the first of six digits and the last four: 10000 further on the last four come again
        ("0 to 999999", "c(000000, first 1) c(000000, last 4)", (10_000, SHOWN_IN_PART)),
    ],
)
def test_long_counters_are_not_tried_one_by_one(brute, counter, line, expected):
    found = round_of(brute, counter, line)
    assert (found and (found.prints, found.why, found.exact)) == (expected and (*expected, True))

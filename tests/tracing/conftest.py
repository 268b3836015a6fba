"""Random messages, and the slow way to trace and compare them: one resolve for each possibility."""

from __future__ import annotations

import re
from datetime import datetime
from itertools import product
from types import SimpleNamespace

import pytest
from hypothesis import strategies as st

from rasterc.diagnostics import InputError
from rasterc.source.load import parse_messages
from rasterc.values import Instant, Plan, prepare
from rasterc.values.dates.offsets import moment_of

# Declarations that give every kind of field something to stumble over.
DECLARED = """
  clock packed in "{zone}", day from {day_from}
  clock best = packed + {months} months {to}
  clock later = best {elapsed}
  shift crew of {crew_of} {{ "A" from 05:30 on mon to fri  "Bb" from 14:15  "C" from 22:00 on sat }}
  shift turn of packed every 3 weeks from 2027-03-24 {{ "A" from 02:30 on 5 to 6  "D" from 14:00 }}
  clock began = start of crew + 2 days
  counter case from {counter}
  input lot one of "a1", "B.2"
  input mark matching "[AB]7?"
  table half every 30 minutes of hour {{ "x" "yy" }}
  table hours {{ 9 -> "nine"  10 -> "ten"  14 -> "1"  other -> "" }}
  table some {{ 1 -> "Q"  2 -> "9"  09 -> "Z"  12 -> "12" }}
  text serial = {serial}
  check proof = {proof}
"""
COUNTERS = (
    "1 to 3", "8 to 12, step 2", "12 down to 9", '9 to 12, base 11, at end wrap',
    '0 to 3, digits "xy"',
)  # fmt: skip
FIELDS = (
    "packed(yyDDD)", "packed(HH:mm)", "packed(H.m)", "packed(d MMM H, upper)", "packed(h a)",
    "packed(table half)", "packed(H, table hours)", "packed(d, table some)", "packed(HHdd, last 3)",
    "best(dd.MM)", "best(d)", "best(dMMM, from 2 to 3)", "best(EEE HH, first 5)",
    "later(ddHHmm)", "later(e)", "began(dd HH)", "began(EEEE, in fr, upper, last 4)",
    "crew", "turn", "crew(upper)", 'crew(pad 3 "-")', "case", "case(000)", "case(000, blanks)",
    "case(00, last 1)", 'case(pad 4 right "x")', "case(table some)", "lot", "lot(upper)",
    "lot(first 1)", "lot(no-points)", 'lot(pad 4 left "B")', "mark", "mark(lower)", "mark(last 1)",
    "mark(from 1 to 1)", "serial", "serial(last 3)", "serial(lower, from 2 to 3)",
    'serial(pad 9 right "7")', "proof", '"L"', '"-9"', '"?"',
)  # fmt: skip
SERIALS = (
    'packed(dd) case(00)', '"a" mark packed(H)', "lot case", 'crew "1" best(d)', "case mark",
)  # fmt: skip
PROOFS = (
    "gs1-mod10 of packed(dd) case(00)", "iso7064-mod37-36 of mark packed(HH)",
    "iso7064-mod97-10 of case mark", "luhn of packed(mm) best(d)",
)  # fmt: skip
ZONES = ("Europe/Dublin", "America/New_York", "Australia/Lord_Howe", "UTC")
# Around clock changes of those zones, month ends and the turn of a year.
STARTS = (
    datetime(2026, 3, 28, 20), datetime(2026, 10, 24, 18), datetime(2027, 3, 13, 20),
    datetime(2027, 11, 6, 20), datetime(2027, 12, 31, 14), datetime(2028, 2, 28, 22),
    datetime(2026, 4, 4, 6), datetime(2026, 6, 17, 3),
)  # fmt: skip


def plan_of(text: str) -> Plan:
    """The plan of a message text without faults."""
    messages, faults = parse_messages(text, "test", folder=".")
    assert not faults, faults
    [message] = messages.values()
    plan, faults = prepare(message)
    assert not faults, faults
    return plan


@st.composite
def declarations(draw) -> str:
    return DECLARED.format(
        zone=draw(st.sampled_from(ZONES)),
        day_from=draw(st.sampled_from(["00:00", "06:00", "01:30", "23:00"])),
        months=draw(st.integers(1, 13)),
        to=draw(st.sampled_from(["", "to month end", "to sunday", "to next monday"])),
        elapsed=draw(st.sampled_from(["+ 90 minutes", "- 7 hours", "+ 26 hours to sunday"])),
        crew_of=draw(st.sampled_from(["packed", "best", "later"])),
        counter=draw(st.sampled_from(COUNTERS)),
        serial=draw(st.sampled_from(SERIALS)),
        proof=draw(st.sampled_from(PROOFS)),
    )


@st.composite
def lines(draw, fields: tuple[str, ...] = FIELDS) -> list[str]:
    chosen = st.lists(st.sampled_from(fields), min_size=1, max_size=4).map(" ".join)
    return draw(st.lists(chosen, min_size=1, max_size=2))


def message_text(declared: str, printed: list[str], name: str = "test") -> str:
    shown = "\n".join(f"line: {line}" for line in printed)
    return f"message {name} {{ raster 16 font upright-7\n{declared}\n block {{\n{shown}\n}} }}"


def resolved(plan: Plan, minute: int, case: int, lot: str, mark: str) -> tuple[str, ...] | None:
    """The lines at an instant; None when there are none."""
    counters = {"case": case} if "case" in plan.message.counters else {}
    inputs = {"lot": lot, "mark": mark} if plan.message.inputs else {}
    try:
        return plan.resolve(Instant(moment_of(minute), counters, inputs)).lines
    except InputError:
        return None


def possibilities(plan: Plan) -> list[tuple[int, str, str]]:
    """Every case, lot and mark; one only of those that no field prints."""
    cases, lots = plan.message.counters["case"].values, ("a1", "B.2")
    marks = ("A", "B", "A7", "B7")
    names = {field.name for field in plan.fields}
    every = [(cases, "case"), (lots, "lot"), (marks, "mark")]
    return list(product(*(values if name in names else values[:1] for values, name in every)))


def fits(read: tuple[str, ...], printed: tuple[str, ...] | None, parts: bool = False) -> bool:
    """Whether lines as read, with `?` for any character, are those printed, or parts of them."""
    if printed is None:
        return False
    matches = re.search if parts else re.fullmatch
    pairs = zip(read, printed, strict=True)
    return all(
        r == "*" or matches("".join("." if c == "?" else re.escape(c) for c in r), p)
        for r, p in pairs
    )


@pytest.fixture(scope="session")
def brute() -> SimpleNamespace:
    return SimpleNamespace(
        plan_of=plan_of,
        declarations=declarations,
        lines=lines,
        message_text=message_text,
        resolved=resolved,
        possibilities=possibilities,
        fits=fits,
        STARTS=STARTS,
        FIELDS=FIELDS,
    )

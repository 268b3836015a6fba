"""Messages of all kinds, and the slow way to every block: one row resolved after another."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import strategies as st

from rasterc.api import Code, load_text
from rasterc.batch.block import Block
from rasterc.batch.columns import of_texts
from rasterc.batch.compiler import Compiler
from rasterc.batch.rows import Rows, micros_of
from rasterc.diagnostics import InputError

# Declarations that give every kind of field something to stumble over.
DECLARED = """
  clock packed in "{zone}", day from {day_from}
  clock best = packed + {months} months {to}
  clock later = best {elapsed}
  clock fixed = 2028-02-29 + 1 year
  shift crew of {crew_of} {{ "A" from 05:30 on mon to fri  "Bb" from 14:15  "C" from 22:00 on sat }}
  clock began = start of crew + 2 days
  counter case from {counter}
  counter reel from 0 to 46655, base 36
  input lot one of "a1" "B.2" "ς" "", default "a1"
  input mark matching "[A-Z0-9]{{0,6}}"
  table half every 30 minutes of hour {{ "x" "yy" }}
  table hours {{ 9 -> "nine"  10 -> "ten"  14 -> "1"  other -> "" }}
  table some {{ 1 -> "Q"  2 -> "9"  09 -> "Z"  12 -> "12" }}
  text serial = {serial}
  check proof = {proof}
"""
COUNTERS = (
    "1 to 30000", "8 to 12, step 2", "1200 down to 9", '9 to 12000, base 11, at end wrap',
    '0 to 3, digits "xy"', "0 to 999999",
)  # fmt: skip
FIELDS = (
    "packed(yyDDD)", "packed(HH:mm)", "packed(H.m)", "packed(d MMM H, upper)", "packed(h a)",
    "packed(table half)", "packed(H, table hours)", "packed(d, table some)", "packed(HHdd, last 3)",
    "packed(ss)", "packed(HHmmss, from 2 to 5)", "best(dd.MM)", "best(d)",
    "best(dMMM, from 2 to 3)",
    "best(EEE HH, first 5)", "later(ddHHmmss)", "later(e)", "began(dd HH ss)", "fixed(dd.MM.yy)",
    "began(EEEE, in fr, upper, last 4)", "packed(EEEE, in el, upper)",
    "crew", "crew(upper)", 'crew(pad 3 "-")', "case", "case(000000)", "case(000000, blanks)",
    "case(000000, last 1)", 'case(pad 9 right "x")', "case(table some)", "lot", "lot(upper)",
    "lot(first 1)", "lot(no-points)", 'lot(pad 4 left "B")', "mark", "mark(lower)", "mark(last 1)",
    "mark(from 1 to 2)", "serial", "serial(last 3)", "serial(lower, from 2 to 3)", "reel(000)",
    'serial(pad 9 right "7")', "proof", '"L"', '"-9"', '"?"', '""', '"É"', '" "',
)  # fmt: skip
SERIALS = (
    'packed(dd) case(000000)', '"a" mark packed(H)', "lot case", 'crew "1" best(d)', "case mark",
)  # fmt: skip
PROOFS = (
    "gs1-mod10 of packed(dd) case(000000)", "iso7064-mod37-36 of mark packed(HH)",
    "iso7064-mod97-10 of case mark", "luhn of packed(mm) best(d)", "damm of case",
    "verhoeff of reel packed(ss)",
)  # fmt: skip
ZONES = ("Europe/Dublin", "America/New_York", "Australia/Lord_Howe", "UTC")
# Around clock changes of those zones, month ends and the turn of a year; years at either end.
STARTS = (
    datetime(2026, 3, 28, 20), datetime(2026, 10, 24, 18), datetime(2027, 3, 13, 20),
    datetime(2027, 11, 6, 20), datetime(2027, 12, 31, 14), datetime(2028, 2, 28, 22),
    datetime(2026, 4, 4, 6), datetime(2026, 6, 17, 3), datetime(1930, 1, 1), datetime(9997, 1, 1),
)  # fmt: skip
STYLES = (
    "", "align right", "align center", "bold 2", "wide 2", "spacing 2", "fixed", "inverse", "tower",
    "bold 2 wide 3 align center inverse", "tower inverse fixed", "spacing 3 wide 2 inverse",
)  # fmt: skip
FONTS = ("upright-5", "upright-7", "tall-16")


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
def lines(draw) -> str:
    chosen = st.lists(st.sampled_from(FIELDS), max_size=5).map(" ".join)
    found = draw(st.lists(st.tuples(st.sampled_from(STYLES), chosen), min_size=1, max_size=2))
    return "\n".join(f"line {style}: {pieces or chr(34) * 2}" for style, pieces in found)


@st.composite
def messages(draw) -> str:
    """The text of a message."""
    blocks = draw(st.lists(lines(), min_size=1, max_size=3))
    font = draw(st.sampled_from(FONTS))
    inner = "\n".join(f"block {{ {one} }}" for one in blocks)
    return f"message test {{ raster 16 font {font}\n{draw(declarations())}\n {inner} }}"


@st.composite
def values(draw, code: Code) -> Rows:
    """Some rows of values, most of which the message can print."""
    count = draw(st.integers(1, 12))
    start = micros_of(draw(st.sampled_from(STARTS)).replace(tzinfo=UTC))
    steps = draw(st.sampled_from([0, 240_000, 60_000_000, 3_333_333_333, 100_000_000_000]))
    case = code.message.counters["case"].values
    chosen = st.integers(0, len(case) - 1).map(case.__getitem__)
    some = st.one_of(chosen, st.integers(0, 20))
    return Rows(
        np.arange(1, count + 1),
        start + np.arange(count) * steps,
        {
            "case": np.array([draw(some) for _ in range(count)]),
            "reel": np.array([draw(st.integers(0, 46655)) for _ in range(count)]),
        },
        {
            "lot": of_texts(
                [draw(st.sampled_from(["a1", "B.2", "ς", "", "no"])) for _ in range(count)]
            ),
            "mark": of_texts([draw(st.text("A7Z", max_size=6)) for _ in range(count)]),
        },
    )


def compiler(code: Code, profile=None) -> Compiler:
    return Compiler(code.plan, code.fonts, code.composer, profile)


def resolved(code: Code, rows: Rows, profile=None) -> Iterator[tuple | None]:
    """What each row prints: its lines and strokes; None when it cannot be printed."""
    for place in range(len(rows)):
        try:
            printed = code.resolve_at(rows.instant(place))
            yield printed.lines, printed.strokes(profile).bits, printed.resolved.instant
        except InputError:
            yield None


def hold(code: Code, rows: Rows, block: Block, profile=None) -> int:
    """Hold a block against `resolve`; how many rows were printed."""
    wanted = list(resolved(code, rows, profile))
    good = [(n, one) for n, one in zip(rows.numbers.tolist(), wanted, strict=True) if one]
    assert block.numbers.tolist() == [n for n, _ in good]
    texts = [block.texts(line) for line in range(len(block.words))]
    for place, (_, (lines, bits, instant)) in enumerate(good):
        assert tuple(text[place] for text in texts) == lines
        assert tuple(block.strokes[place].tolist()) == bits
        for name, column in block.inputs.items():
            assert column.listed(len(block))[place] == instant.inputs[name]
    refused = sorted(refused.number for refused in block.refused)
    assert refused == [n for n, one in zip(rows.numbers.tolist(), wanted, strict=True) if not one]
    assert all(refused.diagnostics for refused in block.refused)
    return len(good)


@pytest.fixture(scope="session")
def made() -> SimpleNamespace:
    return SimpleNamespace(
        messages=messages, values=values, compiler=compiler, hold=hold, load=load_text
    )

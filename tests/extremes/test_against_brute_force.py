"""Extremes held against trying every value: values, first witnesses and counts of strings."""

from math import prod

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc.extremes.report import KINDS, extremes_within
from rasterc.source.message import line_attributes

CLOCKS = """
  clock packed in "Europe/Dublin", day from 06:00
  clock best = packed + 9 months to month end
  clock ripe = packed + 40 hours + 1 month
  clock away in "America/New_York"
  clock began = start of crew
  clock noon = start of late + 90 minutes
  shift crew of packed { "A" from 06:00  "BI" from 14:00 on mon to fri  "C" from 22:00 }
  shift late of ripe { "I" from 01:30  "W" from 02:15 on sat, sun }
  counter case from 8 to 12
  counter pair from 0 to 9, step 3
  counter hex from 1 to 15, base 16
  input lot matching "[AI]?[MW][0-1]"
  input plant one of "I", "MM", default "I"
  table month from 1 { "J" "F" "MAR" "A" "MI" "JU" "JL" "AU" "SE" "O" "NO" "DI" }
  table quarter every 15 minutes of hour { "W" "I" "M" "T" }
  table odd { "0" -> "I"  other -> "WW" }
  text both = packed(dd) case
  check digit = gs1-mod10 of case(00)
  check sum = luhn of packed(HH) pair
"""
MOMENTS = (
    "2027-03-27 21:30",  # the clocks go forward in the night
    "2027-10-30 22:30",  # and back
    "2027-12-31 22:00",
    "2028-02-28 20:00",
    "2027-01-31 04:00",
    "2027-06-16 04:30",
)
PIECES = (
    '"L"', '" I "', "packed(d.M.yy)", "packed(EEEE, upper)", "packed(DDD)", "packed(HH:mm)",
    "packed(h a)", "packed(m)", "packed(e ww)", "packed(YYYY)", "packed(table quarter)",
    "packed(M, table month)", "packed(dHm, last 2)", "packed(H, first 1)", "best(MMM yyyy, upper)",
    "best(MMMM, in fr, upper)", "ripe(d/M H)", "ripe(EEE HH:mm)", "away(HH:mm)", "away(d MMM)",
    "began(d)", "began(HH:mm)", "noon(d H:mm)", "crew", "late", "case", "case(000)",
    "case(000, blanks)", "case(000, last 1, table odd)", "case(00, first 1)", "pair", "pair(00)",
    "hex", "hex(00)", "lot", "lot(last 2)", "lot(first 1)", "lot(pad 4 right)", "plant",
    "lot(upper, pad 5 left \"0\")", "both", "both(last 2)", "digit", "sum",
)  # fmt: skip
LOTS = ["M0", "M1", "W0", "W1", "AM0", "AM1", "AW0", "AW1", "IM0", "IM1", "IW0", "IW1"]
INPUTS = {"lot": LOTS, "plant": ["I", "MM"]}
OTHERS = {"case": 5, "pair": 4, "hex": 15, "lot": 12, "plant": 2}  # values of each
MOST_TRIED = 6000
STYLES = (
    "",
    "align center",
    *(one.example for name, one in line_attributes().items() if name not in ("font", "row")),
)


def lines(pieces):
    style = st.sampled_from(STYLES)
    return st.tuples(style, st.lists(pieces, min_size=1, max_size=4)).map(
        lambda line: f"line font upright-7 {line[0]}: {' '.join(line[1])}"
    )


def fits(some):
    """Two inverse lines of 7 drops and their borders are 18 rows; the raster has 16."""
    return sum(" inverse:" in line for line in some) < 2


blocks = st.lists(
    st.lists(lines(st.sampled_from(PIECES)), min_size=1, max_size=2)
    .filter(fits)
    .map(lambda some: "block gap 2 { " + "\n ".join(some) + " }"),
    min_size=1,
    max_size=2,
).map("\n ".join)


@settings(
    max_examples=40,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],  # shrinking takes minutes
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(content=blocks, start=st.sampled_from(MOMENTS), minutes=st.integers(1, 300))
def test_values_witnesses_and_counts_are_those_of_brute_force(brute, content, start, minutes):
    code = brute.code_of(CLOCKS, content)
    others = prod(OTHERS[name] for name in {field.name for field in code.plan.fields} & {*OTHERS})
    horizon = brute.stretch(start, min(minutes, MOST_TRIED // others + 1))
    seen = brute.every_value(code, horizon, INPUTS, window=9)
    report = extremes_within(code.plan, code.fonts, horizon, window=9)
    assert not report.faults
    for name, extreme in report.by_name.items():
        expected = brute.best_of(seen, name)
        if extreme.exact:
            assert extreme.value == expected.measures[name], name
            assert brute_measure(seen, extreme.witness.lines, name) == extreme.value
            if name not in ("lowest", "highest"):  # whose witness need not be the first
                assert extreme.witness.lines == expected.lines, name
                assert extreme.witness.instant.when == expected.instant.when, name
        else:
            sign = -1 if name in brute.least else 1
            assert sign * extreme.value >= sign * expected.measures[name], name
    strings = len({one.lines for one in seen})
    if report.strings.exact:
        assert report.strings.number == strings
    else:
        assert report.strings.number >= strings


def brute_measure(seen, lines, name):
    return next(one.measures[name] for one in seen if one.lines == lines)


def test_every_kind_is_reported(brute):
    code = brute.code_of(CLOCKS, 'line: "L" packed(yyDDD) crew')
    report = extremes_within(code.plan, code.fonts, brute.stretch("2027-06-16 04:30", 300))
    assert set(report.by_name) == set(KINDS) - {"misread-risk"}


@pytest.mark.parametrize("start", MOMENTS)
def test_each_second_is_covered_when_seconds_are_printed(brute, start):
    code = brute.code_of(CLOCKS, "line: packed(s) packed(:mm:ss) away(H)")
    horizon = brute.stretch(start, 20)
    report = extremes_within(code.plan, code.fonts, horizon)
    seen = brute.every_value(code, horizon, {}, seconds=True)
    for name in ("longest", "shortest", "most-drops", "fewest-drops", "densest"):
        expected = brute.best_of(seen, name)
        assert report.by_name[name].value == expected.measures[name]
        assert report.by_name[name].witness.lines == expected.lines
        assert report.by_name[name].witness.instant.when == expected.instant.when

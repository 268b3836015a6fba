"""What the report says: bounds, faults, dates, edges, notes and errors."""

from datetime import date, datetime
from itertools import product
from math import pi
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rasterc.api import load
from rasterc.diagnostics import InputError
from rasterc.domain.texts import Shape, after, listed, shape_of
from rasterc.domain.words import Count
from rasterc.extremes.kinds import KINDS
from rasterc.extremes.report import extremes, extremes_within
from rasterc.head.timing import timing
from rasterc.profile.load import load_profile
from rasterc.reading.model import LOSS
from rasterc.reading.report import risk_report
from rasterc.values.fields.options import First, Last, Lower, NoPoints, Pad, Part, Upper

SHARED = Path(__file__).parents[2] / "shared"
START = date(2027, 1, 1)
CLOCK = 'clock packed in "Europe/Dublin"\n'


def find(code, **options):
    return extremes(code.plan, code.fonts, START, **options)


def test_the_demo_bottle_is_exact_over_ten_years():
    code = load(SHARED / "messages" / "best-before.rasterc")
    report = find(code)
    assert all(extreme.exact for extreme in report.extremes)
    assert not report.faults
    # each minute prints another code, but for the hour that comes twice each autumn
    minutes = (date(2037, 1, 1) - START).days * 1440
    assert report.strings.number == (minutes - 10 * 60) * 9999
    for extreme in report.extremes:
        printed = code.resolve_at(extreme.witness.instant)
        assert printed.lines == extreme.witness.lines
    most = report.by_name["most-drops"]
    assert code.resolve_at(most.witness.instant).strokes().drops == most.value


def test_lengths_and_ink_are_those_of_the_profile():
    code = load(SHARED / "messages" / "best-before.rasterc")
    profile = load_profile(SHARED / "profiles" / "bottle-16.toml")
    report = find(code, profile=profile)
    longest, drops = report.by_name["longest"], report.by_name["most-drops"]
    lengths = [timing(profile, profile.raster(16), 135, v).length_mm for v in (0.6, 0.9)]
    assert longest.converted == (max(lengths), "mm")
    # a sphere of 100 um has pi d^3 / 6; 1 mm^3 is a microlitre
    assert drops.converted == (pytest.approx(drops.value * pi * 0.1**3 / 6), "ul of ink")


def test_a_check_over_too_many_values_is_a_bound_that_says_so():
    code = load(SHARED / "messages" / "can-base.rasterc")
    report = find(code)
    assert report.by_name["longest"].exact  # all digits are equally wide
    most = report.by_name["most-drops"]
    assert not most.exact
    assert "proof" in most.why
    strokes = code.resolve_at(most.witness.instant).strokes()
    assert strokes.drops == most.at_witness <= most.value
    assert report.strings.exact  # the check follows from what is printed beside it


def test_a_check_over_few_values_is_exact(brute):
    declared = CLOCK + "counter c from 1 to 999\ncheck d = gs1-mod10 of packed(dd) c(000)"
    code = brute.code_of(declared, "line: packed(dd) c(000) d")
    report = find(code)
    assert all(extreme.exact for extreme in report.extremes)
    assert report.strings.number == 31 * 999


@pytest.mark.parametrize(
    "line",
    ["packed(ddHHmm, last 5)", "packed(yyDDDHHmm, first 7)", "packed(dHm, last 2, table odd)"],
)
def test_a_field_that_mixes_dates_and_minutes_is_bounded_over_years(brute, line):
    declared = CLOCK + 'table odd { "11" -> "III"  other -> "W" }'
    code = brute.code_of(declared, f'line: {line} "x"')
    report = find(code)
    assert not report.strings.exact
    assert report.strings.number >= 2
    day = brute.stretch("2027-11-11 10:00", 300)
    for extreme in report.extremes:
        for one in brute.every_value(code, day, {}):
            low = extreme.name in brute.least
            least, most = (extreme.value, one.measures[extreme.name])[:: 1 if low else -1]
            assert least <= most
    exact = extremes_within(code.plan, code.fonts, day)
    seen = brute.every_value(code, day, {})
    for extreme in exact.extremes:
        assert extreme.exact
        assert extreme.value == brute.best_of(seen, extreme.name).measures[extreme.name]


def test_a_missing_row_is_found_with_its_first_moment(brute):
    declared = CLOCK + 'table t { "1" -> "A"  "2" -> "B" }'
    report = find(brute.code_of(declared, "line: packed(Q, table t)"))
    [three, four] = report.faults
    assert three.diagnostic.code == "no-such-key"
    assert three.instant.when.replace(tzinfo=None) == datetime(2027, 7, 1)
    assert "2027-10-01 00:00" in four.lines()[-1]


def test_a_missing_glyph_is_found_wherever_it_hides(brute):
    code = brute.code_of(CLOCK, 'line font upright-5: "ON " packed(MMM)')  # capitals only
    report = find(code)
    assert report.faults
    assert {fault.diagnostic.code for fault in report.faults} == {"missing-glyph"}
    lot = brute.code_of('input lot matching "[A-Z]{2}[a-c]?"', "line font upright-5: lot")
    report = find(lot)
    [fault] = report.faults
    assert fault.diagnostic.code == "missing-glyph"
    assert "lot" in fault.said
    # what can be printed is measured nevertheless
    assert report.by_name["most-characters"].value == 2


def test_an_option_that_asks_for_too_much_is_found(brute):
    code = brute.code_of('input lot matching "[A-Z]{1,3}"', "line: lot(from 2 to 3)")
    report = find(code)
    assert {fault.diagnostic.code for fault in report.faults} == {"text-too-short"}
    assert {fault.instant.inputs["lot"] for fault in report.faults} == {"A", "AA"}
    assert report.by_name["fewest-characters"].value == 2


def test_a_code_that_may_be_too_long_is_found(brute):
    lines = " ".join(["lot"] * 80)
    code = brute.code_of('input lot matching "W{1,64}"', f"line: {lines}")
    report = find(code, measures=["longest"])
    assert [fault.diagnostic.code for fault in report.faults] == ["message-too-long"]


def test_faults_that_no_value_changes_are_errors_of_every_value(brute):
    lines = "line font upright-9: packed(d)\nline font upright-9: packed(d)"
    report = find(brute.code_of(CLOCK, lines))
    assert [fault.diagnostic.code for fault in report.faults] == ["rows-too-few"]


def test_dates_and_edges_are_named(brute):
    declared = """
      clock packed in "Europe/Dublin", day from 06:00
      clock best = packed + 18 months
      shift crew of packed { "A" from 06:00  "N" from 22:00 }
      counter case from 1 to 500, at end wrap
    """
    code = brute.code_of(declared, "line: best(dd.MM.yy) packed(w) crew case(000)")
    report = find(code)
    dates = {one.field: (one.first, one.last) for one in report.dates}
    assert dates == {
        "best": (date(2028, 6, 30), date(2038, 6, 30)),
        "packed": (date(2026, 12, 31), date(2036, 12, 31)),
    }
    edges = {edge.name: edge.witness for edge in report.edges}
    assert edges["packed on a leap day"].said == "2028-02-29 06:00"
    assert edges["packed in week 53"].said == "2027-01-01 00:00"  # 2026-12-31 = 2026-W53-4
    assert edges["minute before day of packed begins"].said == "2027-01-01 05:59"
    assert edges["year of best begins"].lines == ("01.01.2926A001",)
    assert edges["clocks go forward in Europe/Dublin"].said == "2027-03-28 02:00"
    back = edges["clocks go back in Europe/Dublin"]
    assert back.said == "2027-10-31 01:00 (the second time)"
    assert edges['shift crew "N" begins'].said == "2027-01-01 22:00"
    assert edges["case at its last value, then wraps"].instant.counters == {"case": 500}


def test_a_message_without_clocks_has_no_times(brute):
    code = brute.code_of("counter c from 1 to 20", "line: c")
    report = find(code)
    assert report.dates == ()
    assert [edge.name for edge in report.edges] == [
        "c at its first value", "c at its last value, then stops",
    ]  # fmt: skip
    assert all(extreme.witness.instant.when is None for extreme in report.extremes)
    still = find(brute.code_of("", 'line: "LOT"'))
    assert (still.strings.number, still.by_name["longest"].value) == (1, 17)


RISKY = (
    ("counter c from 1 to 99", 'line: "8" c line bold 2: c(00)'),
    ("counter c from 1 to 29, step 7", 'line: c(pad 3 right "0")'),
    ('input lot matching "[AI]?[MW][0-3]"', "line: lot(upper) lot(first 1)"),
    ('counter c from 5 to 9  text both = "A" c "27"', "line: both(last 3) both"),
    ("counter c from 95 to 104  check sum = gs1-mod10 of c(000)", "line: c sum"),
    ("counter c from 1 to 4  clock day = 2027-01-01", "line: day(d MMM) c"),
)


@pytest.mark.parametrize(("declared", "line"), RISKY)
def test_the_misread_risk_is_that_of_reading(brute, declared, line):
    """The greatest of all prints, each looked at by `reading`."""
    code = brute.code_of(declared, line)
    lots = [a + b + c for a in ("", "A", "I") for b in "MW" for c in "0123"]
    chances = [
        risk_report(code.plan.resolve(one.instant), code.fonts, code.plan).lost
        for one in brute.every_value(code, None, {"lot": lots})
    ]
    worst = max(chances, key=lambda chance: chance.high)
    [extreme] = find(code, loss=LOSS, measures=["misread-risk"]).extremes
    same = risk_report(code.plan.resolve(extreme.witness.instant), code.fonts, code.plan)
    assert extreme.general.chance == same.general
    assert sum(p.chance for p in extreme.general.pairs) == pytest.approx(
        sum(sorted(_pair_chances(same), reverse=True)[:3])
    )
    if extreme.exact:
        assert (extreme.low, extreme.value) == pytest.approx((100 * worst.low, 100 * worst.high))
    else:
        assert "pad 3" in line
        assert extreme.value >= 100 * worst.high >= extreme.at_witness


def _pair_chances(report):
    """The chance of each pair, over all its places."""
    found = {}
    for pair in report.pairs:
        key = pair.printed, pair.read_as
        found[key] = found.get(key, 0) + pair.places * pair.general
    return found.values()


def test_a_message_of_literals_has_all_extremes(brute):
    report = find(brute.code_of("", 'line: "LOT 12"'), loss=LOSS)
    assert set(report.by_name) == set(KINDS)
    assert all(extreme.exact for extreme in report.extremes)
    assert report.by_name["misread-risk"].value == 0


SIZES = """
  input name, length 0 to 2
  input lot matching "[A-C ]?"
"""


@pytest.mark.parametrize(
    ("lines", "lowest", "highest"),
    [
        ('line font upright-7: "A" line font upright-5: "B"', 5, 7),
        ('line font upright-7: "A" line font upright-5: lot', 5, 7),
        ("line font upright-7: name line font upright-5: lot", 0, 7),
        ("line font upright-7: name line font upright-5: lot name", 0, 5),
        ('line font upright-7: lot line font upright-5: " "', 0, 7),
    ],
)
def test_the_height_of_the_smallest_line_that_prints(brute, lines, lowest, highest):
    if '"B"' in lines:
        highest = 5
    report = find(brute.code_of(SIZES, lines), measures=["lowest", "highest"])
    assert [extreme.value for extreme in report.extremes] == [lowest, highest]
    for extreme in report.extremes:
        [*texts] = extreme.witness.lines
        heights = [h for h, text in zip((7, 5), texts, strict=True) if text.strip()]
        assert min(heights, default=0) == extreme.value


BUDGETS = ("rasterc.domain.weighing._MAX_HELD", "rasterc.extremes.window.MAX_SEARCHES")


@pytest.mark.parametrize("budget", BUDGETS)
def test_where_a_budget_ends_a_bound_is_told(brute, monkeypatch, budget):
    """A bound that some value comes to is exact all the same."""
    code = brute.code_of(
        'input lot matching "[AI]W|[IA]{3}"',
        "block { line: lot line bold 2: lot(first 1) }\n block { line: lot(last 1) line: lot }",
    )
    lots = [a + b for a in "AI" for b in ("W", *map("".join, product("IA", repeat=2)))]
    seen = brute.every_value(code, None, {"lot": lots})
    assert all(extreme.exact for extreme in find(code).extremes)
    monkeypatch.setattr(budget, 1)
    for extreme in find(code).extremes:
        reached = brute.best_of(seen, extreme.name).measures[extreme.name]
        assert extreme.sense * extreme.value >= extreme.sense * reached
        assert extreme.why if not extreme.exact else extreme.value == reached


def test_counts_are_told_in_figures_or_by_their_size(brute):
    assert Count(52_577).said == "52,577"
    assert Count(10**98, exact=False).said == "at most about 10^98"
    report = find(brute.code_of('input a matching "[A-Z]{40}"', "line: a a"))
    assert report.strings.said == "about 10^57"
    assert report.as_dict()["strings"] is None


def test_what_was_not_looked_at_is_noted(brute):
    code = brute.code_of("input free, length 1 to 3", "line: free")
    assert any("free" in note for note in find(code).notes)
    code = brute.code_of("input free, length 1 to 900", 'line: "A" free')
    report = find(code)
    longest = report.by_name["longest"]
    assert not longest.exact
    assert "free" in longest.why
    widest = max(glyph.width for glyph in code.fonts["upright-7"].glyphs.values())
    assert longest.value == 5 + 900 * (widest + 1)


@pytest.mark.parametrize(
    ("options", "code_word"),
    [
        ({"measures": ["longst"]}, "unknown-measure"),
        ({"measures": ["misread-risk"]}, "no-risk"),
        ({"window": 0}, "bad-window"),
        ({"years": 0}, "bad-horizon"),
        ({"years": 1001}, "bad-horizon"),
    ],
)
def test_what_cannot_be_asked_is_answered(brute, options, code_word):
    code = brute.code_of(CLOCK, "line: packed(d)")
    with pytest.raises(InputError) as caught:
        find(code, **options)
    assert caught.value.diagnostics[0].code == code_word


@pytest.mark.parametrize(("start", "years"), [(date(1960, 1, 1), 10), (date(9985, 1, 1), 10)])
def test_years_that_cannot_be_looked_at_are_refused(brute, start, years):
    code = brute.code_of(CLOCK, "line: packed(d)")
    with pytest.raises(InputError):
        extremes(code.plan, code.fonts, start, years)


def test_a_clock_that_leaves_the_calendar_is_an_error(brute):
    code = brute.code_of(CLOCK + "clock far = packed + 100 years", "line: far(yyyy)")
    with pytest.raises(InputError) as caught:
        extremes(code.plan, code.fonts, date(9895, 1, 1), 10)
    assert caught.value.diagnostics[0].code == "date-out-of-range"


TEXTS = st.text("aBß.ı", max_size=5)
OPTIONS = st.lists(
    st.one_of(
        st.builds(First, st.integers(1, 6)),
        st.builds(Last, st.integers(1, 6)),
        st.just(Part(2, 3, None)),
        st.builds(Pad, st.integers(1, 8), st.booleans(), st.just("0")),
        st.just(Upper("en")),
        st.just(Lower("tr")),
        st.just(NoPoints()),
    ),
    max_size=3,
)


@given(some=st.lists(TEXTS, min_size=1), more=st.lists(TEXTS, min_size=1), options=OPTIONS)
def test_every_text_is_of_its_shape(some, more, options):
    texts = (listed(some), listed(more))
    for option in options:
        texts = after(texts, option)
    shape = shape_of(texts)
    for one in some:
        for other in more:
            text = one + other
            try:
                for option in options:
                    text = option.apply(text)
            except InputError:
                continue  # too short for `from 2 to 3`
            assert _is_of(text, shape), (text, shape)


def _is_of(text, shape: Shape):
    return shape.least <= len(text) <= len(shape.places) and all(
        char in chars for char, chars in zip(text, shape.places, strict=False)
    )

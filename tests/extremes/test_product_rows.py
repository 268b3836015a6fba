"""Messages over product tables against brute force: every row on every day, by `resolve`."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from rasterc import InputError, diff, load
from rasterc.checks.coverage import How
from rasterc.layout import lay_out
from rasterc.output.code.kinds.json import strokes_as_dict

START, YEARS = date(2027, 1, 1), 3
DAYS = [START + timedelta(days=n) for n in range((date(2030, 1, 1) - START).days)]

names = st.sampled_from(["PLUM", "RYE", "OAT BAR", "A", "TEA 1"])
lives = st.sampled_from(["0", "1", "7", "007", "30", "31", "365"])
tongues = st.sampled_from(["en", "de", "fr", "fi"])
tables = st.lists(st.tuples(names, lives, tongues), min_size=1, max_size=4)
units = st.sampled_from(["days", "weeks", "months"])
moves = st.sampled_from(["", " to month end", " to friday"])
lines = st.lists(
    st.sampled_from(
        [
            '"B " best(d MMM yy, in products.language)',
            "best(MMMM, in products.language) products.name",
            "best(dd.MM.yy)",
            'products.name " " best(EEE, in products.language)',
            'packed(yyDDD) "/" products.name',
            "products.name(first 1)",
            "sku",
        ]
    ),
    min_size=1,
    max_size=2,
    unique=True,
)
few = settings(
    max_examples=8,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate),  # a smaller example takes minutes
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


def made(folder, table, unit, move, chosen, delimiter=","):
    rows = [f"K{number}{delimiter}{delimiter.join(cells)}" for number, cells in enumerate(table, 1)]
    header = delimiter.join(["sku", "name", "life", "language"])
    (folder / "products.csv").write_text("\n".join([header, *rows]) + "\n", "utf-8")
    (folder / "m.rasterc").write_text(
        f"""message m {{
          raster 16
          font upright-7
          clock packed in "Etc/UTC"
          clock best = packed + products.life {unit}{move}
          input sku
          table products from "products.csv" by sku, separated by "{delimiter}"
          block {{ {" ".join(f"line: {line}" for line in chosen)} }}
        }}""",
        "utf-8",
    )
    return load(folder / "m.rasterc")


def every_print(code):
    """The lines of each row on each day; the row of a print that is none is left out."""
    found = {}
    for key in code.message.inputs["sku"].choices:
        for day in DAYS:
            noon = datetime(day.year, day.month, day.day, 12)
            found[key, day] = code.resolve(noon, inputs={"sku": key}).lines
    return found


def sizes(code, prints):
    """Strokes, drops and characters of every distinct print."""
    known = {}
    for (key, day), lines in prints.items():
        if lines not in known:
            noon = datetime(day.year, day.month, day.day, 12)
            layout = lay_out(
                code.resolve(noon, inputs={"sku": key}).resolved, code.fonts, code.composer
            )
            drops = sum(c.bit_count() for line in layout.lines for c in line.columns)
            known[lines] = layout.length, drops, sum(map(len, lines))
    return known


@few
@given(tables, units, moves, lines)
def test_extremes_are_those_of_all_rows_and_days(tmp_path, table, unit, move, chosen):
    code = made(tmp_path, table, unit, move, chosen)
    prints = every_print(code)
    known = sizes(code, prints)
    measures = ["longest", "shortest", "most-drops", "fewest-drops"]
    measures += ["most-characters", "fewest-characters"]
    report = code.extremes(START.isoformat(), YEARS, measures=measures)
    assert not report.faults
    for place, pair in enumerate(zip(measures[::2], measures[1::2], strict=True)):
        values = [size[place] for size in known.values()]
        for name, value in zip(pair, (max(values), min(values)), strict=True):
            extreme = report.by_name[name]
            assert (extreme.exact, extreme.value) == (True, value)
            witness = extreme.witness
            key, when = witness.instant.inputs["sku"], witness.instant.when
            assert prints[key, when.date() if when else START] == witness.lines
            assert known[witness.lines][place] == value
    assert report.strings.number >= len(known)
    for found in report.dates:
        assert START <= found.first <= found.last
        key = found.last_witness.instant.inputs["sku"]
        assert key in code.message.inputs["sku"].choices


@few
@given(tables, units, moves, lines, st.data())
def test_a_trace_finds_every_row_and_day(tmp_path, table, unit, move, chosen, data):
    code = made(tmp_path, table, unit, move, chosen)
    prints = every_print(code)
    key, day = data.draw(st.sampled_from(sorted(prints)))
    wanted = {pair for pair, lines in prints.items() if lines == prints[key, day]}
    result = code.trace(prints[key, day], START.isoformat(), YEARS)
    found = set()
    for match in result.matches():
        if match.start is None:  # nothing printed goes by the time
            found |= {(sku, day) for sku in match.inputs["sku"] for day in DAYS}
            continue
        days = (match.until - match.start).days
        assert match.until - match.start == timedelta(days=days)
        for n in range(days):
            found |= {(sku, match.start.date() + timedelta(days=n)) for sku in match.inputs["sku"]}
    assert result.verified
    assert found == wanted


@few
@given(tables, units, moves, lines)
def test_repeats_are_never_told_too_late(tmp_path, table, unit, move, chosen):
    code = made(tmp_path, table, unit, move, chosen)
    closest: timedelta | None = None
    texts = {}
    for (_, day), lines in every_print(code).items():
        texts.setdefault(lines, set()).add(day)
    for days in texts.values():
        for before, after in zip(sorted(days), sorted(days)[1:], strict=False):
            gap = after - before - timedelta(days=1)
            if gap and (closest is None or gap < closest):
                closest = gap
    report = code.repeats(START.isoformat(), YEARS)
    if report.always:
        assert any(len(days) == len(DAYS) for days in texts.values())
    elif report.exact:
        assert report.gap == closest
    else:
        assert report.no_sooner is not None
        assert closest is None or report.no_sooner <= closest
    if report.gap is not None and not report.always:
        first, again = report.last.instant, report.again.instant
        assert code.resolve_at(first).lines == code.resolve_at(again).lines == report.again.lines


def test_rows_that_the_key_tells_apart_repeat_as_each_of_them_does(tmp_path):
    table = [("PLUM", "7", "en"), ("RYE", "8", "en")]
    chosen = ['best(dd.MM.) " " sku']
    report = made(tmp_path, table, "days", "", chosen).repeats(START.isoformat(), 5)
    assert report.exact and report.gap == timedelta(days=364)
    report = made(tmp_path, table, "days", "", ["best(dd.MM.)"]).repeats(START.isoformat(), 5)
    assert not report.exact and report.no_sooner == timedelta(0)
    chosen = ['best(dd.MM.) " " packed(dd.MM.yyyy)']
    report = made(tmp_path, table, "days", "", chosen).repeats(START.isoformat(), 200)
    assert report.exact and report.gap is None


def test_a_check_finds_what_one_row_alone_does(tmp_path):
    table = [("PLUM", "7", "en"), ("RYE", "0", "en"), ("OAT \u0411", "9", "en")]
    chosen = ['"BEST BEFORE " best(dd.MM.yyyy)', 'products.name " " sku']
    code = made(tmp_path, table, "days", "", chosen)
    survey = code.check_all(START.isoformat(), 1, inputs={"sku": "K1"})
    at = {finding.rule: finding.at for finding in survey.report.findings}
    assert 'sku "K2"' in at["expired-when-made"]
    assert 'sku "K3"' in at["missing-glyph"]
    proved = {one.rule for one in survey.coverage.rules if one.how is How.PROVED}
    assert {"expired-date", "missing-glyph"} <= proved


def test_a_print_without_a_row_is_refused(tmp_path):
    code = made(tmp_path, [("PLUM", "7", "en")], "days", "", ["best(dd.MM.yy)"])
    with pytest.raises(InputError, match="input sku is missing"):
        code.resolve("2027-01-01 12:00")
    with pytest.raises(InputError, match="none of the choices"):
        code.resolve("2027-01-01 12:00", inputs={"sku": "K2"})


@pytest.mark.parametrize(
    ("cells", "wanted"),
    [
        (("PLUM", "seven", "en"), 'days is a whole number from 0 to 73000, not "seven"'),
        (("PLUM", "", "en"), "not an empty cell"),
        (("PLUM", "-1", "en"), 'not "-1"'),
        (("PLUM", "7.5", "en"), 'not "7.5"'),
        (("PLUM", "73001", "en"), 'not "73001"'),
        (("PLUM", "7", "xx"), '"xx" is no language'),
        (("PLUM", "7", ""), '"" is no language'),
    ],
)  # fmt: skip
def test_cells_that_are_no_life_or_language(tmp_path, cells, wanted):
    chosen = ["best(MMM, in products.language)"]
    with pytest.raises(InputError) as caught:
        made(tmp_path, [("RYE", "7", "de"), cells], "days", "", chosen)
    (fault,) = caught.value.diagnostics
    assert wanted in fault.message
    assert (fault.span.source.name, fault.span.line) == ("products.csv", 3)


def test_a_diff_tells_which_rows_changed(tmp_path):
    chosen = ["best(dd.MM.yy)", "products.name"]
    old, new = tmp_path / "old", tmp_path / "new"
    old.mkdir()
    new.mkdir()
    table = [("PLUM", "7", "en"), ("RYE", "8", "en"), ("OAT BAR", "9", "en")]
    before = made(old, table, "days", "", chosen)
    assert diff(before, made(new, table, "days", "", chosen), START.isoformat(), 1).same
    changed = [("PLUM", "7", "de"), ("RYE", "9", "en"), ("OATS", "9", "en"), ("A", "1", "en")]
    found = diff(before, made(new, changed, "days", "", chosen), START.isoformat(), 1)
    assert not found.same and not found.minutes  # those are of the first row, which is the same
    assert [(row.key, row.old, row.new) for row in found.rows.shown] == [
        ("K2", {"life": "8"}, {"life": "9"}),
        ("K3", {"name": "OAT BAR"}, {"name": "OATS"}),
        ("K4", None, {"name": "A", "life": "1"}),
    ]
    other = diff(before, made(new, table, "days", "", [chosen[0], "sku"]), START.isoformat(), 1)
    assert "table products" in other.other_values


def test_a_print_tells_its_row(tmp_path):
    code = made(tmp_path, [("PLUM", "7", "en"), ("RYE", "8", "de")], "days", "", ["sku"])
    printed = code.resolve("2027-01-01 12:00", inputs={"sku": "K2"})
    told = strokes_as_dict(printed.strokes(), printed.resolved)["products"]
    assert told == {"products": {"sku": "K2", "name": "RYE", "life": "8", "language": "de"}}


def test_a_counter_that_picks_rows_comes_round_as_a_whole(tmp_path):
    (tmp_path / "lanes.csv").write_text("lane,life\n1,7\n2,9\n3,7\n", "utf-8")
    (tmp_path / "m.rasterc").write_text(
        """message m { raster 7 font upright-7 clock packed in "Etc/UTC"
          clock best = packed + lanes.life days
          counter lane from 1 to 3, at end wrap
          table lanes from "lanes.csv" by lane
          block { line: best(dd.MM.yy) " " lane } }""",
        "utf-8",
    )
    code = load(tmp_path / "m.rasterc")
    assert len(code.plan.cases) == 3  # the lanes 1 and 3 are no run of numbers
    assert code.resolve("2027-01-01 12:00", counters={"lane": 2}).lines == ("10.01.27 2",)
    report = code.repeats(START.isoformat(), 5)
    assert not report.exact and [each.prints for each in report.rounds] == [3]

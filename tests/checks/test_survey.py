"""The same rules over the edges of several years; every finding once, with its witness."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from rasterc.api import load, load_text, parse_when
from rasterc.checks.clock_changes import clock_changes, next_backward
from rasterc.checks.edges import edge_instants
from rasterc.checks.measures import MEASURES
from rasterc.checks.samples import sample_inputs
from rasterc.checks.survey import survey
from rasterc.cli.common import instant_of, split_settings
from rasterc.diagnostics import Severity
from rasterc.extremes.report import extremes
from rasterc.plant import load_plant
from rasterc.values import Instant

SHARED = Path(__file__).parents[2] / "shared"
PLANT = load_plant(SHARED / "plant.toml")
DUBLIN = 'clock packed in "Europe/Dublin", day from 06:00\n'


def last_sunday(year, month):
    day = date(year, month + 1, 1) - timedelta(days=1)
    return day - timedelta(days=(day.weekday() + 1) % 7)


@pytest.mark.parametrize("zone", ["Europe/Dublin", "Europe/Paris", "Europe/Athens"])
def test_clocks_change_on_the_last_sundays_of_march_and_october(zone):
    # Directive 2000/84/EC, Articles 2 and 3: at 01:00 UTC; from memory
    start = datetime(2027, 1, 1, tzinfo=UTC)
    changes = list(clock_changes(ZoneInfo(zone), start, 365 * 3))
    days = [last_sunday(year, month) for year in (2027, 2028, 2029) for month in (3, 10)]
    assert [c.moment.astimezone(UTC) for c in changes] == [
        datetime(d.year, d.month, d.day, 1, tzinfo=UTC) for d in days
    ]
    assert [c.shift for c in changes] == [timedelta(hours=1), timedelta(hours=-1)] * 3
    assert next_backward(ZoneInfo(zone), start) == changes[1]
    assert next_backward(ZoneInfo("UTC"), start) is None


def test_the_edges_of_five_years(bench):
    crew = 'shift crew of packed { "A" from 06:00 "B" from 14:00 "C" from 22:00 }\n'
    subject = bench.subject(DUBLIN + crew + "block { line: packed(dd MMM yyyy) crew }")
    instants = edge_instants(subject, 5)
    walls = {i.astimezone(ZoneInfo("Europe/Dublin")).strftime("%Y-%m-%d %H:%M") for i in instants}
    for edge in (
        "2027-11-25 14:05",  # the start
        "2028-02-29 06:00", "2028-03-01 05:59",  # the production day of the 29th of February
        "2027-12-31 06:00", "2028-01-01 05:59", "2028-01-01 06:00",  # the turn of a year
        "2028-01-02 06:00", "2028-01-03 06:00",  # ISO 8601: 2027-W52-7 and 2028-W01-1
        "2028-03-26 00:59", "2028-03-26 02:00",  # clocks go forward
        "2028-10-29 01:00", "2028-10-29 01:59",  # and back
        "2027-12-01 13:59", "2027-12-01 14:00", "2027-12-01 22:00",  # shifts
    ):  # fmt: skip
        assert edge in walls, edge
    moments = [i.astimezone(UTC) for i in instants]
    assert moments == sorted(set(moments))
    assert len(moments) < 500
    repeated = [i for i in instants if i.strftime("%y-%m-%d %H:%M") == "28-10-29 01:00"]
    assert len({i.astimezone(UTC) for i in repeated}) == 2  # both passes of the hour


def test_a_message_that_reads_no_clock_has_no_edges(bench):
    subject = bench.subject('block { line: "LOT 7" }')
    found = survey(subject, 5)
    assert found.instants == ()
    assert found.report.findings == ()


def test_a_finding_is_reported_once_at_its_worst(bench):
    body = DUBLIN + "block { line: packed(MMMM yyyy, upper) }\nexpect at 2027-11-25 14:05 { }"
    found = survey(bench.subject(body, product="").moved(parse_when("2027-05-10 14:05+01:00")), 2)
    assert [f.rule for f in found.report.findings] == ["expect"]
    narrow = bench.subject(body, profile=_window(28), at="2027-05-10 14:05")
    [finding] = [f for f in survey(narrow, 2).report.findings if f.rule == "print-window"]
    worst = narrow.moved(parse_when(finding.at))
    assert "SEPTEMBER" in worst.resolved.lines[0]
    assert 1 < finding.times < len(survey(narrow, 2).instants)


def _window(mm):
    from rasterc.checks.model import EXAMPLE_PROFILE

    return EXAMPLE_PROFILE.replace("window_mm = 70", f"window_mm = {mm}")


def test_an_instant_without_a_text_is_a_finding_with_its_witness(bench):
    body = (
        'clock packed in "UTC"\ntable year { 2027 -> "A" 2028 -> "B" 2029 -> "C" }\n'
        "block { line: packed(yyyy, table year) packed(DDD) }\n"
        'expect at 2027-11-25 14:05 { "A329" }'
    )
    assert survey(bench.subject(body), 1).report.findings == ()
    found = survey(bench.subject(body), 5).report.findings
    assert {finding.rule for finding in found} == {"cannot-print"}
    assert [finding.message[-5:-1] for finding in found] == ["2030", "2031", "2032"]
    assert found[0].at.startswith("2030-01-01 00:00")
    assert found[0].times > 1


VARYING = """
  counter case from 8 to 12
  input note matching "[I0]?"
  block { line font upright-7: "L" case line font upright-5: note }
"""


@pytest.mark.parametrize("name", MEASURES)
def test_every_measure_is_held_at_its_least_and_its_greatest(bench, name):
    """Against every value there is, each looked at on its own."""
    given = {"raster": 16, "inputs": {"note": ""}}
    measure, bare = MEASURES[name], bench.subject(VARYING, **given)
    values = {
        measure.value(bare.with_values(Instant(None, {"case": case}, {"note": note})))
        for case in range(8, 13)
        for note in ("", "I", "0")
    }
    assert len(values) > 1
    step, unit = (max(values) - min(values)) / 1000, measure.unit
    for limit, kept in (
        (f">= {min(values):.10f}", True),
        (f">= {min(values) + step:.10f}", False),
        (f"<= {max(values):.10f}", True),
        (f"<= {max(values) - step:.10f}", False),
    ):
        body = f"{VARYING} require {name} {limit} {unit}"
        found = survey(bench.subject(body, **given), 1).report.findings
        assert [f.rule for f in found if f.rule == "require"] == [] if kept else ["require"], limit


def test_a_limit_that_only_a_bound_breaks_is_not_called_kept(bench):
    body = """
      clock packed in "UTC"  counter case from 0 to 999999
      check sum = gs1-mod10 of packed(HHmm) case(000000)
      block { line: "A" packed(HHmm) case(000000) sum }
      require drops >= %s
    """
    extreme = extremes_of(bench, body % 1)
    assert not extreme.exact
    assert extreme.at_witness > extreme.value
    for limit, rules in ((extreme.value, []), (extreme.value + 1, ["require"])):
        found = survey(bench.subject(body % int(limit)), 1).report.findings
        told = [f for f in found if f.rule == "require"]
        assert [f.rule for f in told] == rules
        assert all("it cannot be said" in f.message for f in told)


def extremes_of(bench, body):
    subject = bench.subject(body)
    [fewest] = extremes(
        subject.plan, subject.fonts, subject.when, 1, measures=["fewest-drops"]
    ).extremes
    return fewest


def test_a_silence_that_is_needed_later_is_not_called_unused(bench):
    body = (
        DUBLIN + "block { line: packed(MMMM yyyy, upper) }\n"
        'silence print-window because "the seam may be printed on"\n'
        'silence longest-month because "the seam may be printed on"\n'
        'expect at 2027-05-10 14:05 { "MAY 2027" }'
    )
    found = survey(bench.subject(body, profile=_window(28), at="2027-05-10 14:05"), 2).report
    assert found.findings == ()
    assert {one.finding.rule for one in found.silenced} == {"print-window", "longest-month"}


@pytest.mark.parametrize("run", PLANT.runs, ids=lambda run: run.file.stem)
def test_the_demo_plant_has_no_findings_but_notes(run):
    code = load(run.file)
    pairs, _ = split_settings(run.settings)
    printed = code.resolve_at(instant_of(code.message, parse_when(run.at), pairs))
    found = survey(printed.subject(run.load_profile()), 5).report.findings
    assert [f.rule for f in found if f.severity is not Severity.NOTE] == []
    assert len(found) <= 2


def test_inputs_without_a_text_get_one_that_fits(bench):
    body = (
        'input a matching "[A-H]{2,4}[0-9]" input b one of "X", "LONG" input c length 3 to 5\n'
        'input d input e matching "[^0-9]+" input f default "F"\n'
        "block { line: a b c d e f }"
    )
    subject = bench.subject(
        body, inputs={"a": "AA1", "b": "X", "c": "123", "d": "1", "e": "x"}, at=None
    )
    inputs = sample_inputs(subject.plan, {"d": "given"})
    assert inputs == {"a": "AAAA0", "b": "LONG", "c": "88888", "d": "given", "e": ":"}
    for name, text in inputs.items():
        assert subject.plan.inputs[name].faults(text, None) == []


def test_the_longest_of_all_values_is_held_against_the_limits():
    """The counter's and the input's widest values, and the month's, not those that were given."""
    message = """
    message m {
      raster 7
      font upright-7
      clock packed in "Europe/Dublin"
      input lot matching "[A-Z]{2}[0-9]{2,5}", default "AB12"
      block { line: lot packed(d MMMM, upper) }
      require strokes <= 10
    }
    """
    printed = load_text(message).resolve("2027-05-01 10:00")
    report = survey(printed.subject(), 1).report
    [finding] = [f for f in report.findings if f.rule == "require"]
    # worst of twelve months by hand: two-digit days and the widest letters of this font
    longest = max(
        len(
            load_text(message)
            .resolve(f"2027-{month:02}-28 09:00", inputs={"lot": "WW55555"})
            .strokes()
        )
        for month in range(1, 13)
    )
    assert finding.measured == longest > len(printed.strokes())
    assert 'lot "' in finding.at


def test_a_silence_that_is_needed_does_not_hide_another_that_is_not():
    silence = 'silence ambiguous-date because "agreed"'
    text = f"""message m {{ raster 7 font upright-7
      clock packed in "Europe/Dublin"
      block {{ {silence} line: packed(dd/MM/yy) }}
      block {{ {silence} line: "LOT 7" }}
    }}"""
    report = survey(load_text(text).resolve("2027-05-01 10:00").subject(), 1).report
    assert [f.rule for f in report.findings if f.rule == "unused-silence"] == ["unused-silence"]
    assert {one.finding.rule for one in report.silenced} == {"ambiguous-date"}

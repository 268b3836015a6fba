"""The Python API as an integrator meets it."""

from datetime import UTC, date, datetime
from pathlib import Path
from xml.etree import ElementTree

import pytest

import rasterc
from rasterc.files import write_file

SOURCE = """
message api {{
  raster 16
  font upright-7
  clock packed in "{zone}", day from 06:00
  {more}
  counter case from 1 to 99
  input lot length 1 to 4
  block {{
    line: packed(dd.MM.yy HH:mm) case(00)
    line: "\\"" lot "\\\\"
  }}
  {contract}
}}
"""


def load(zone="Europe/Warsaw", more="", contract=""):
    return rasterc.load_text(SOURCE.format(zone=zone, more=more, contract=contract))


def test_the_public_names_are_listed_and_there():
    assert dir(rasterc) == sorted(rasterc.__all__)
    for name in rasterc.__all__:
        assert getattr(rasterc, name) is not None
    with pytest.raises(AttributeError):
        rasterc.nothing  # noqa: B018


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"counters": {"case": "7"}, "inputs": {"lot": "A"}}, "whole number, not '7'"),
        ({"counters": {"case": 7.0}, "inputs": {"lot": "A"}}, "whole number, not 7.0"),
        ({"counters": {"case": True}, "inputs": {"lot": "A"}}, "whole number, not True"),
        ({"inputs": {"lot": 12}}, "a text, not 12"),
    ],
)
def test_values_of_the_wrong_type_are_input_errors(given, said):
    with pytest.raises(rasterc.InputError) as caught:
        load().resolve("2027-07-26 04:30", **given)
    assert said in str(caught.value)


@pytest.mark.parametrize("when", [date(2027, 11, 25), 1795615500, 1.5])
def test_a_moment_of_the_wrong_type_is_an_input_error(when):
    with pytest.raises(rasterc.InputError, match="not a date and time"):
        load().resolve(when, inputs={"lot": "A"})


@pytest.mark.parametrize(
    ("zone", "more"),
    [
        ("UTC", ""),
        ("Europe/Warsaw", ""),
        ("Europe/Warsaw", 'clock other in "America/New_York"'),
    ],
)
def test_the_example_a_note_suggests_holds_when_it_is_added(zone, more):
    when = datetime(2027, 7, 26, 2, 30, tzinfo=UTC)
    given = {"counters": {"case": 42}, "inputs": {"lot": 'B"'}}
    printed = load(zone, more).resolve(when, **given)
    [note] = [f for f in printed.check() if f.rule == "missing-expect"]
    example = note.remedy.partition("add it: ")[2].partition(", if that is right")[0]
    again = load(zone, more, example).resolve(when, **given)
    assert not [f for f in again.check() if f.rule in ("expect", "missing-expect")]


def test_letters_written_in_two_ways_are_the_same():
    """Unicode: E with acute is U+00C9, or E and U+0301; texts are kept in normal form C."""
    text = """message m { raster 7 font upright-7 input city default "CAFE\u0301"
      table t { "CAFE\u0301" -> "1" }
      block { line: "CAFE\u0301" city(table t) } expect { "CAF\u00c91" } }"""
    printed = rasterc.load_text(text).resolve()
    assert printed.lines == ("CAF\u00c91",)
    assert not [f for f in printed.check() if f.rule in ("expect", "missing-glyph")]


def test_a_file_behind_a_link_is_the_one_that_is_written(tmp_path):
    real, link = tmp_path / "real.txt", tmp_path / "link.txt"
    real.write_text("old")
    link.symlink_to(real)
    write_file(link, b"new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["link.txt", "real.txt"]


PROFILE = Path(__file__).parents[1] / "shared/profiles/bottle-16.toml"
HEAD = sorted((Path(__file__).parents[1] / "shared/heads").glob("*.toml"))[-1]
START = "2027-01-01"


def short():
    """A message small enough for every report."""
    return rasterc.load_text("""message short {
      raster 16 font upright-7
      clock packed in "Europe/Dublin"
      counter case from 1 to 9
      input lot default "AB"
      block { line: packed(dd.MM.yyyy) case lot }
    }""")


def test_each_report_is_the_one_of_its_room():
    code, printed = short(), short().resolve("2027-11-25 14:05")
    survey = code.check_all(date(2027, 1, 1), years=1)
    assert survey.instants[0].date() == date(2027, 1, 1)
    assert {f.rule for f in survey.report.findings} >= {"missing-expect"}
    assert code.extremes(START, 1, measures=["longest"]).by_name["longest"].unit == "strokes"
    assert code.repeats(START, 1, fields=["case"]).fields == ("case",)
    assert len(code.trace(["25.11.20277AB"], START, 1)) == 1
    assert rasterc.diff(code, code, START, 1, counters={"case": 4}).same
    assert printed.reading().lines[0].text == printed.lines[0]
    profile = rasterc.load_profile(HEAD)
    flown = printed.fly(profile, throw_mm=14)
    assert [one.wake for one in flown] == [0.75, 1, 1.1]
    assert all(one.head.throw_m == pytest.approx(0.014) for one in flown)


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda code: code.check_all(START, 51), "51 years"),
        (lambda code: code.check_all("soon"), "not a date and time"),
        (lambda code: code.extremes(5), "no moment"),
        (lambda code: code.extremes(START, measures=["widest"]), "widest"),
        (lambda code: code.repeats(START, fields=["lott"]), "lott"),
        (lambda code: code.trace(["A", "B"], START), "line"),
        (lambda code: rasterc.diff(code, code, START, counters={"caes": 1}), "caes"),
        (lambda code: code.resolve("2027-11-25 14:05").reading(lost=2), "2"),
        (
            lambda code: code.resolve("2027-11-25 14:05").fly(rasterc.load_profile(PROFILE)),
            "cannot fly",
        ),
    ],
)
def test_what_cannot_be_answered_is_an_input_error(ask, said):
    with pytest.raises(rasterc.InputError) as caught:
        ask(short())
    assert said in str(caught.value)


def test_everything_shows_itself_in_one_short_line():
    code = short()
    printed = code.resolve("2027-11-25 14:05")
    shown = [
        code, code.plan, code.message, printed, printed.reading(), code.check_all(START, 1),
        code.extremes(START, 1, measures=["longest"]), code.repeats(START, 1),
        code.trace(["25.11.20277AB"], START, 1), rasterc.diff(code, code, START, 1),
        *printed.check(), code.message.span, printed.fly(rasterc.load_profile(HEAD))[0],
    ]  # fmt: skip
    for one in shown:
        assert "\n" not in repr(one)
        assert len(repr(one)) < 300
    assert repr(printed) == "<Print short at 2027-11-25 14:05+00:00: 25.11.20271AB>"


def test_findings_and_diagnostics_are_printed_as_on_a_terminal():
    (finding, *_) = short().resolve("2027-11-25 14:05").check()
    assert str(finding) == finding.render()
    with pytest.raises(rasterc.InputError) as caught:
        rasterc.load_text("message")
    assert str(caught.value.diagnostics[0]) == caught.value.diagnostics[0].render()


def test_a_checker_finds_what_check_finds_in_each_print():
    code, profile = short(), rasterc.load_profile(PROFILE)
    check = code.checker(profile)
    for case in range(1, 10):
        printed = code.resolve("2027-11-25 14:05", counters={"case": case})
        found, alone = check(printed), printed.check(profile)
        assert [(f.rule, f.message, f.span) for f in found] == [
            (f.rule, f.message, f.span) for f in alone
        ]
    with pytest.raises(ValueError, match="no print of"):
        check(short().resolve("2027-11-25 14:05"))


def test_a_notebook_shows_the_drops():
    printed = short().resolve("2027-11-25 14:05")
    picture = ElementTree.fromstring(printed._repr_svg_())
    assert picture.tag == "{http://www.w3.org/2000/svg}svg"
    high = rasterc.load_text('message m { raster 5 font upright-7 block { line: "A" } }').resolve()
    assert high._repr_svg_() is None

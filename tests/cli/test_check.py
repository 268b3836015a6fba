"""`rasterc check` for pipelines: many files, what fails, what is shown, reports on a pipe."""

import json
from xml.etree import ElementTree as Xml

import pytest

from rasterc.checks.findings import Finding
from rasterc.cli.check.outcome import Outcome
from rasterc.cli.check.report import report
from rasterc.cli.check.severities import FailOn
from rasterc.cli.check.view import View, fails, summed
from rasterc.cli.check.wanted import files_of
from rasterc.diagnostics import InputError, Severity, SourceText, Span
from rasterc.inspection.verdict import Verdict

AT = ("--at", "2027-11-25 14:05")
GOOD = 'message {} {{ raster 7 font upright-7 block {{ line: "LOT 7" }} }}\n'
NOTED = 'message {} {{ raster 7 font upright-7 input lot default "A" block {{ line: "L" lot }} }}\n'
WARNED = GOOD.replace("block", "counter case from 1 to 9 block")
WRONG = 'message {} {{ raster 7 font upright-7 block {{ line: "LOT 7" }} expect {{ "LOT 8" }} }}\n'
BROKEN = "message {} {{ raster 99 }}\n"


@pytest.fixture
def plant(tmp_path):
    """A folder of messages: two good ones, one of each severity, and one in a folder below."""
    for name, text in (("a", GOOD), ("b", GOOD), ("n", NOTED), ("w", WARNED), ("x", WRONG)):
        (tmp_path / f"{name}.rasterc").write_text(text.format(name), encoding="utf-8")
    below = tmp_path / "below"
    below.mkdir()
    (below / "z.rasterc").write_text(GOOD.format("z"), encoding="utf-8")
    return tmp_path


def test_files_and_folders_are_checked_together_each_once(program, plant):
    a, below = plant / "a.rasterc", plant / "below"
    said = program("check", a, below, plant / "below" / ".." / "a.rasterc", *AT).out
    summary, covered = said.splitlines()
    assert summary == "2 messages: 2 clean"
    assert covered.startswith("  this instant only: ")
    assert files_of([plant]) == [*sorted(plant.glob("*.rasterc"))[:2], below / "z.rasterc",
                                 *sorted(plant.glob("*.rasterc"))[2:]]  # fmt: skip


def test_the_summary_counts_everything_and_names_what_fails(program, plant):
    (plant / "q.rasterc").write_text(BROKEN.format("q"), encoding="utf-8")
    said, complained = program("check", plant, "--all", "--years", 1, *AT, code=2).both
    assert said.splitlines()[-2] == (
        "7 messages: 1 error in 1, 1 warning in 1, 1 note in 1, 3 clean, 1 that cannot be checked"
    )
    assert "q.rasterc:1:" in complained


@pytest.mark.parametrize(
    ("name", "option", "code"),
    [
        ("n", (), 0), ("w", (), 1), ("x", (), 1), ("a", ("--fail-on", "note"), 0),
        ("n", ("--fail-on", "note"), 1), ("w", ("--fail-on", "error"), 0),
        ("x", ("--fail-on", "error"), 1), ("x", ("--fail-on", "never"), 0),
    ],
)  # fmt: skip
def test_what_fails_decides_the_exit_code(program, plant, name, option, code):
    program("check", plant / f"{name}.rasterc", *AT, *option, code=code)


def test_quiet_says_only_what_fails(program, plant):
    files = [plant / f"{name}.rasterc" for name in "anw"]
    assert program("check", "-q", *files[:2], *AT).both == ("", "")
    said, complained = program("check", *files, "--quiet", *AT, code=1).both
    assert "warning[unused-declaration]" in said
    assert "note[" not in said
    assert "messages" not in said
    assert complained == ""
    assert program("check", "-q", *files, *AT, "--fail-on", "never").both == ("", "")


def test_what_is_hidden_and_fails_is_not_hushed_up(program, plant):
    said = program("check", plant / "w.rasterc", *AT, "--min-severity", "error", code=1).out
    assert "warning[" not in said
    assert "w, without a line profile: 1 warning" in said
    assert "1 finding that fails is not shown: see --min-severity" in said
    document = json.loads(program("check", plant / "w.rasterc", *AT, "--min-severity", "error",
                                  "--json", code=1).out)  # fmt: skip
    assert document["messages"][0]["findings"] == []
    assert document["summary"] == {
        "messages": 1, "errors": 0, "warnings": 1, "notes": 0, "clean": 0, "broken": 0,
        "failed": True,
    }  # fmt: skip


def test_standard_input_is_a_message_file(program, plant, monkeypatch):
    monkeypatch.chdir(plant)
    said = program("check", "-", *AT, input=WRONG.format("typed"), code=1).out
    assert said.startswith("typed")
    assert "\n<stdin>:1:" in said
    (plant / "t.rasterc").write_text('table t from 1, letters "AB"\n', encoding="utf-8")
    uses = 'use "t.rasterc"\n' + GOOD.format("typed")
    said = program("check", "-", "a.rasterc", *AT, input=uses).out
    assert said.splitlines()[-2] == "2 messages: 2 clean"
    complained = program("check", "-", "--set", "kase=1", *AT, input=uses, code=2).said
    assert "kase" in complained
    complained = program("check", "-", *AT, input="message", code=2).said
    assert complained.startswith("<stdin>:1:")


def test_reports_go_to_standard_output(program, plant):
    said, complained = program("check", plant / "x.rasterc", *AT, "--sarif", "-", code=1).both
    [run] = json.loads(said)["runs"]
    assert [result["ruleId"] for result in run["results"]] == ["expect"]
    assert complained == ""
    said = program("check", plant / "w.rasterc", *AT, "--junit", "-", code=1).out
    assert Xml.fromstring(said).get("failures") == "1"
    said = program("check", plant / "w.rasterc", *AT, "--junit", "-", "--fail-on", "error").out
    assert Xml.fromstring(said).get("failures") == "0"
    for both in (("--sarif", "-", "--junit", "-"), ("--sarif", "-", "--json")):
        said, complained = program("check", plant / "a.rasterc", *AT, *both, code=2).both
        assert "[" in said + complained


def test_processes_find_what_one_finds(program, plant):
    arguments = ("check", plant, "--all", "--years", 1, *AT)
    one = program(*arguments, "--workers", 1, code=1).both
    assert program(*arguments, "--workers", 2, code=1).both == one
    complained = program(
        *arguments, "--workers", 2, "--sarif", plant / "x.sarif", "--junit", plant / "y.xml", code=1
    ).said
    assert complained == ""
    assert (plant / "x.sarif").is_file()


def test_a_stretch_of_time_goes_with_all(program, plant):
    a = plant / "a.rasterc"
    assert "--all" in program("check", a, "--years", 3, code=2).said
    assert "--all" in program("check", a, "--from", "2027-01-01", code=2).said
    assert "--at" in program("check", a, "--all", "--from", "2027-01-01", *AT, code=2).said
    clock = 'message c { raster 7 font upright-7 clock made in "UTC" block { line: made(yyyy) } }'
    said = program("check", "-", "--all", "--from", "2027-01-01", "--years", 1, input=clock).out
    assert "instants from 2027-01-01 to 20" in said


def finding(severity, message="what", rule="require", at=""):
    span = Span(SourceText("f.rasterc", "text"), 0, 4)
    return Finding(rule, severity, message, span, f"do {message}", at=at)


def outcome(*each):
    verdicts = [
        Verdict(file="f.rasterc", message=f"m{i}", findings=tuple(findings))
        for i, findings in enumerate(each)
    ]
    return Outcome(verdicts)


def test_what_many_messages_share_is_said_once():
    note, error = finding(Severity.NOTE), finding(Severity.ERROR, at="noon")
    many = outcome(*[[note, error]] * 12, [finding(Severity.NOTE, "other")])
    lines = report(many, View())
    assert lines.count("note[require]: what") == 1
    assert "  in 12 messages: m0, m1, m2, m3, m4, m5, m6, m7 and 4 more" in lines
    assert "    f.rasterc:1:1: m11 (at noon)" in lines  # an error's every place
    assert lines.count("  help: do what") == 2
    assert sum("note[require]: other" in line for line in lines) == 1
    assert lines[-2] == "13 messages: 12 errors in 12, 13 notes in 13"
    apart = report(many, View(fold=False))
    assert sum("note[require]: what" in line for line in apart) == 12
    assert not any("in 12 messages" in line for line in apart)
    two = report(outcome([note], [note]), View())
    assert sum("note[require]: what" in line for line in two) == 2


def test_counts_agree_and_hide_nothing():
    some = outcome([finding(Severity.ERROR)] * 2, [finding(Severity.WARNING)], [])
    summary = summed(some.verdicts, View(least=Severity.ERROR))
    assert summary.lines == [
        "3 messages: 2 errors in 1, 1 warning in 1, 1 clean",
        "  1 finding that fails is not shown: see --min-severity",
    ]
    assert fails(some.verdicts, FailOn.WARNING)
    assert not fails(outcome([finding(Severity.NOTE)]).verdicts, FailOn.WARNING)
    assert not fails(some.verdicts, FailOn.NEVER)


def test_a_folder_without_messages_is_a_mistake(tmp_path):
    with pytest.raises(InputError, match="holds no message"):
        files_of([tmp_path])

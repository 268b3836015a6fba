"""`rasterc check` of a plant: messages on their lines, what is accepted, the table, the cache."""

import json
from datetime import datetime
from xml.etree import ElementTree as Xml

import pytest

from rasterc.cli.check import outcome as outcome_module
from tests.cli.conftest import GOOD

AT = ("--at", "2027-11-25 14:05")


def edit(path, old, new):
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new))


def table(said):
    """The rows of the closing table."""
    _, *rows = said[said.index("\nline ") + 1 :].partition("\n\n")[0].splitlines()
    return [row.split() for row in rows]


def test_every_message_is_held_against_every_line_of_its_own(program, mill):
    said = program("check", *AT, code=1).out
    assert "spare on fast: 1 warning" in said  # silenced on the other line
    assert "lot at" not in said  # it reads no clock
    assert "lot on slow: 1 error" in said
    assert "good" not in said
    assert "silenced[unused-declaration]: 1 finding, by plant.toml:23\n" in said
    assert "  because: kept for the spring\n" in said
    assert table(said) == [
        ["slow", "3", "1", "-", "-", "2", "-"],
        ["fast", "2", "-", "1", "-", "1", "-"],
        ["all", "5", "1", "1", "-", "3", "-"],
    ]
    assert "5 runs: 1 error in 1, 1 warning in 1, 3 clean\n" in said
    assert said.index("error[") < said.index("warning[")  # the worst first


def test_it_is_found_from_a_folder_of_the_plant(program, mill, monkeypatch):
    monkeypatch.chdir(mill / "messages")
    said = program("check", *AT, code=1).out
    assert "../messages/spare.rasterc:1:" in said or "spare.rasterc:1:" in said
    assert "5 runs" in said


def test_no_plant_is_a_mistake(program, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert "error[no-plant]" in program("check", code=2).said
    (tmp_path / "plant.toml").write_text("name = 1\n")
    assert "plant.toml:1:" in program("check", code=2).said


def test_a_faulty_profile_and_a_broken_message_are_told_together(program, mill):
    edit(mill / "fast.toml", "throw_mm", "thraw_mm")
    (mill / "messages" / "bad.rasterc").write_text("message bad { raster 99 }\n")
    said, complained = program("check", *AT, code=2).both
    assert complained.count("fast.toml:7:") == 1  # once, not for every message
    assert "bad.rasterc:1:" in complained
    assert "lot on slow: 1 error" in said
    assert [row[-1] for row in table(said)] == ["1", "3", "4"]
    document = json.loads(program("check", *AT, "--json", code=2).out)
    assert {one["line"] for one in document["broken"]} == {"slow", "fast"}
    assert document["summary"]["broken"] == 4


def test_the_same_of_files(program, mill):
    """Outside a plant too: what is wrong with the profile hides nothing of the messages."""
    edit(mill / "fast.toml", "throw_mm", "thraw_mm")
    (mill / "messages" / "bad.rasterc").write_text("message bad { raster 99 }\n")
    for what in ("messages", "messages/bad.rasterc"):
        complained = program("check", what, *AT, "--profile", "fast.toml", code=2).said
        assert "fast.toml:7:" in complained
        assert "bad.rasterc:1:" in complained


def test_a_setting_of_the_plant_that_no_message_takes_is_told(program, mill):
    edit(mill / "plant.toml", "case=4", "kase=4")
    complained = program("check", *AT, code=2).said
    assert 'the plant file sets "kase" of messages/lot.rasterc' in complained
    assert 'did you mean "case"' in complained


def test_a_silence_that_silences_nothing_is_told_when_that_is_known(program, mill):
    assert "unused-silence" not in program("check", *AT, code=1).said
    complained = program("check", "--all", *AT, code=1).said
    assert "plant.toml:28: the silence of lot-mark silences nothing" in complained
    assert complained.count("unused-silence") == 1


def test_what_no_message_may_silence_no_plant_can(program, mill):
    edit(mill / "plant.toml", "lot-mark", "require")
    assert '"require" cannot be silenced' in program("check", *AT, code=2).said


def test_the_plant_says_how_far_to_look(program, mill):
    edit(mill / "messages" / "good.rasterc", "block", 'clock made in "UTC" block')
    edit(mill / "messages" / "good.rasterc", '"LOT 7"', '"LOT 7 " made(yy)')
    document = json.loads(program("check", "--all", "--json", "--message", "good").out)
    assert {one["line"] for one in document["messages"]} == {"slow", "fast"}
    [instants] = {one["instants"] for one in document["messages"]}
    more = program("check", "--all", "--years", 4, "--json", "--message", "good").out
    assert json.loads(more)["messages"][0]["instants"] > instants


def test_a_plant_has_profiles_of_its_own(program, mill):
    assert "error[two-choices]" in program("check", "--profile", "slow.toml", code=2).said


def test_reports_of_a_plant_are_told_by_line(program, mill):
    program("check", *AT, "--sarif", "r.sarif", "--junit", "r.xml", code=1)
    [run] = json.loads((mill / "r.sarif").read_text())["runs"]
    by_line = [(one["properties"]["line"], one["ruleId"]) for one in run["results"]]
    assert ("fast", "unused-declaration") in by_line
    [silenced] = [one for one in run["results"] if "suppressions" in one]
    assert silenced["suppressions"] == [
        {"kind": "external", "justification": "kept for the spring"}
    ]  # SARIF 2.1.0, 3.35.2: what is not in the source
    names = [suite.get("name") for suite in Xml.parse(mill / "r.xml").getroot()]
    assert sorted(names) == ["good on fast", "good on slow", "lot on slow", "spare on fast",
                             "spare on slow"]  # fmt: skip


def reports(program, mill, *arguments, **env):
    """All that is said and written of the plant."""
    said = program("check", *arguments, "--sarif", "r.sarif", "--junit", "r.xml", code=1, **env)
    document = program("check", *arguments, "--json", code=1, **env).out
    return said.both, document, (mill / "r.sarif").read_bytes(), (mill / "r.xml").read_bytes()


@pytest.mark.parametrize("arguments", [AT, ("--all", *AT)])
def test_what_is_kept_is_said_in_the_same_bytes(program, mill, monkeypatch, arguments):
    cache = {"RASTERC_CACHE": str(mill / "kept")}
    alone = reports(program, mill, *arguments)
    assert reports(program, mill, *arguments, **cache) == alone
    monkeypatch.setattr("rasterc.inspection.looking.look_at", None)
    monkeypatch.setattr("rasterc.plant.load.parse_plant", None)
    assert reports(program, mill, *arguments, **cache) == alone


def test_a_change_of_the_plant_file_is_seen(program, mill):
    cache = {"RASTERC_CACHE": str(mill / "kept")}
    changes = [
        (mill / "plant.toml", 'lines = ["slow"]\nat', 'lines = ["fast"]\nat'),
        (mill / "plant.toml", "kept for the spring", "kept for the summer"),
        (mill / "plant.toml", "case=4", "case=9"),
        (mill / "plant.toml", 'profile = "fast.toml"', 'profile = "fast.toml"\nspeeds_m_s = [0.1]'),
        (mill / "plant.toml", 'name = "mill"', 'name = "mill"\nrules = ["eu-food"]'),
        (mill / "slow.toml", "1.2]", "0.9, 1.2]"),
        (mill / "messages" / "good.rasterc", "LOT 7", "LOT 8"),
    ]
    seen = [program("check", *AT, "--json", code=None, **cache).out]
    for path, old, new in changes:
        edit(path, old, new)
        seen.append(program("check", *AT, "--json", code=None, **cache).out)
        assert seen[-1] == program("check", *AT, "--json", code=None).out
    (mill / "messages" / "new.rasterc").write_text(GOOD.format("new"))
    seen.append(program("check", *AT, "--json", code=None, **cache).out)
    assert '"new"' in seen[-1]
    assert len(set(seen)) == len(seen)


def test_a_message_that_comes_to_lead_out_of_the_plant_is_refused(program, mill):
    """A link that is turned: what was known of the plant is asked again."""
    cache = {"RASTERC_CACHE": str(mill / "kept")}
    outside = mill.parent / f"{mill.name}-outside.rasterc"
    inside = mill / "own.txt"
    for path in (inside, outside):
        path.write_text(GOOD.format("good"))
    link = mill / "messages" / "good.rasterc"
    link.unlink()
    link.symlink_to(inside)
    program("check", *AT, code=1, **cache)
    link.unlink()
    link.symlink_to(outside)
    assert "error[outside-root]" in program("check", *AT, code=2, **cache).said


def test_a_day_is_one_moment(program, mill, monkeypatch):
    """Without a moment named, verdicts hold until the day ends, and are made anew on the next."""
    edit(mill / "messages" / "good.rasterc", "block", 'clock made in "UTC" block')
    edit(mill / "messages" / "good.rasterc", '"LOT 7"', '"LOT 7 " made(yyDDDHHmm)')
    from rasterc.cli.check import wanted

    cache = {"RASTERC_CACHE": str(mill / "kept")}
    printed = []
    for day, hour in ((3, 1), (3, 23), (4, 0)):

        class Clock(datetime):
            @classmethod
            def now(cls, tz=None, at=(day, hour)):
                return cls(2027, 11, *at, 30, tzinfo=tz)

        monkeypatch.setattr(wanted, "datetime", Clock)
        document = json.loads(program("check", "--json", code=1, **cache).out)
        printed.append(document["messages"][0]["lines"])
    assert printed == [["LOT 7 273071200"], ["LOT 7 273071200"], ["LOT 7 273081200"]]


def test_a_report_over_what_was_read_is_refused(program, mill):
    """Also when that was read in an earlier run only."""
    cache = {"RASTERC_CACHE": str(mill / "kept")}
    (mill / "fast.toml").rename(mill / "fast.sarif.json")
    edit(mill / "plant.toml", "fast.toml", "fast.sarif.json")
    before = (mill / "fast.sarif.json").read_bytes()
    program("check", *AT, code=1, **cache)
    for _ in range(2):
        said = program("check", *AT, "--sarif", "fast.sarif.json", code=2, **cache).said
        assert "error[would-overwrite]" in said
    assert (mill / "fast.sarif.json").read_bytes() == before


def test_the_outcome_has_no_more_to_say_than_its_verdicts():
    assert outcome_module.Outcome(()).faults() == {}

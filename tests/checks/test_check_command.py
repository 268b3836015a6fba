"""`rasterc check` and `rasterc explain` as a user types them."""

import json
from pathlib import Path
from xml.etree import ElementTree as Xml

from rasterc.checks.registry import all_rules

SHARED = Path(__file__).parents[2] / "shared"
DAIRY = SHARED / "profiles" / "dairy-9.toml"
MILK = SHARED / "messages" / "use-by-milk.rasterc"


def test_all_edges_of_a_file(program):
    text = program("check", MILK, "--all", "--at", "2027-11-25 14:05", "--profile", DAIRY).text
    assert "instants from 2027-11-25 to 2032-" in text
    assert "note[repeated-hour]" in text
    [message] = json.loads(program("check", MILK, "--all", "--years", 1, "--at", "2027-11-25 14:05",
                                   "--profile", DAIRY, "--json").text)["messages"]  # fmt: skip
    assert 50 < message["instants"] < 150
    assert [f["code"] for f in message["findings"]] == ["repeated-hour"]


def test_all_messages_of_a_folder_with_reports(program, tmp_path):
    (tmp_path / "a").mkdir()
    bad = (
        'message {} {{ raster 7 font upright-7 clock packed in "UTC" '
        "block {{ line: packed(dd/MM/yy) }} "
        'silence missing-expect because "under work" }}\n'
    )
    (tmp_path / "a" / "one.rasterc").write_text(bad.format("one"), encoding="utf-8")
    (tmp_path / "two.rasterc").write_text(bad.format("two"), encoding="utf-8")
    (tmp_path / "letters.rasterc").write_text('table t from 1, letters "AB"\n', encoding="utf-8")
    reports = [tmp_path / "out.sarif", tmp_path / "out.xml"]
    arguments = ["check", tmp_path, "--all", "--years", 1, "--at", "2027-11-25 14:05",
                 "--sarif", reports[0], "--junit", reports[1]]  # fmt: skip
    text = program(*arguments, code=1).text
    assert text.index("one at") < text.index("two at")
    assert "silenced[missing-expect]" in text
    only = program(*arguments, "--message", "two", code=1).text
    assert "two at" in only
    assert "one at" not in only
    assert 'did you mean "two"' in program(*arguments, "--message", "tow", code=2).text
    program(*arguments, code=1)
    assert "because: under work" in text
    first = [report.read_bytes() for report in reports]
    program(*arguments, code=1)
    assert [report.read_bytes() for report in reports] == first
    [run] = json.loads(first[0])["runs"]
    assert [r["ruleId"] for r in run["results"]] == ["ambiguous-date", "missing-expect"] * 2
    suites = Xml.fromstring(first[1]).findall("testsuite")
    assert [suite.get("name") for suite in suites] == ["one", "two"]


def test_all_faults_of_a_folder_are_reported(program, tmp_path):
    for name in ("a", "b"):
        (tmp_path / f"{name}.rasterc").write_text(f"message {name} {{ raster 99 }}")
    text = program("check", tmp_path, "--all", code=2).text
    assert "a.rasterc" in text
    assert "b.rasterc" in text
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "holds no message" in program("check", empty, "--all", code=2).text
    assert "0 years" in program("check", MILK, "--all", "--years", 0, code=2).text
    assert "nowhere" in program("check", MILK, "--sarif", tmp_path / "nowhere" / "x", code=2).text
    assert "kase" in program("check", MILK, "--all", "--set", "kase=1", code=2).text


def test_the_reference_page_holds_every_rule_and_its_example(program):
    page = program("explain", "--page").text
    index = program("explain").text
    for rule in all_rules().values():
        assert f"\n### {rule.id}\n" in page
        assert f"\n  {rule.id} " in index
        assert rule.question in page
        assert rule.question in " ".join(index.split())
    assert page.count("```") == 6 * len(all_rules())
    assert "remedy: " in page


def test_a_page_says_when_the_rule_applies(program):
    assert 'rules = ["general", "eu-food"]' in program("explain", "x-height").text
    assert "Applies: always; it cannot be silenced." in program("explain", "missing-glyph").text
    [rule] = json.loads(program("explain", "gs1-date", "--json").text)["rules"]
    assert rule["rules"] == "gs1"

"""`rasterc check` and `rasterc explain` as a user types them."""

import json
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as Xml

from rasterc.checks.registry import all_rules

SHARED = Path(__file__).parents[2] / "shared"
PROGRAM = Path(sys.executable).with_name("rasterc")
DAIRY = SHARED / "profiles" / "dairy-9.toml"
MILK = SHARED / "messages" / "use-by-milk.rasterc"


def rasterc(*arguments, code=0):
    done = subprocess.run(
        [PROGRAM, *map(str, arguments)], capture_output=True, encoding="utf-8", timeout=600
    )
    assert done.returncode == code, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    return done.stdout or done.stderr


def test_all_edges_of_a_file():
    text = rasterc("check", MILK, "--all", "--at", "2027-11-25 14:05", "--profile", DAIRY)
    assert "instants from 2027-11-25 to 2032-" in text
    assert "note[repeated-hour]" in text
    [message] = json.loads(rasterc("check", MILK, "--all", "--years", 1, "--at", "2027-11-25 14:05",
                                   "--profile", DAIRY, "--json"))["messages"]  # fmt: skip
    assert 50 < message["instants"] < 150
    assert [f["code"] for f in message["findings"]] == ["repeated-hour"]


def test_all_messages_of_a_folder_with_reports(tmp_path):
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
    text = rasterc(*arguments, code=1)
    assert text.index("one at") < text.index("two at")
    assert "silenced[missing-expect]" in text
    only = rasterc(*arguments, "--message", "two", code=1)
    assert "two at" in only
    assert "one at" not in only
    assert 'did you mean "two"' in rasterc(*arguments, "--message", "tow", code=2)
    rasterc(*arguments, code=1)
    assert "because: under work" in text
    first = [report.read_bytes() for report in reports]
    rasterc(*arguments, code=1)
    assert [report.read_bytes() for report in reports] == first
    [run] = json.loads(first[0])["runs"]
    assert [r["ruleId"] for r in run["results"]] == ["ambiguous-date", "missing-expect"] * 2
    suites = Xml.fromstring(first[1]).findall("testsuite")
    assert [suite.get("name") for suite in suites] == ["one", "two"]


def test_all_faults_of_a_folder_are_reported(tmp_path):
    for name in ("a", "b"):
        (tmp_path / f"{name}.rasterc").write_text(f"message {name} {{ raster 99 }}")
    text = rasterc("check", tmp_path, "--all", code=2)
    assert "a.rasterc" in text
    assert "b.rasterc" in text
    empty = tmp_path / "empty"
    empty.mkdir()
    assert "holds no message" in rasterc("check", empty, "--all", code=2)
    assert "0 years" in rasterc("check", MILK, "--all", "--years", 0, code=2)
    assert "nowhere" in rasterc("check", MILK, "--sarif", tmp_path / "nowhere" / "x", code=2)
    assert "kase" in rasterc("check", MILK, "--all", "--set", "kase=1", code=2)


def test_the_reference_page_holds_every_rule_and_its_example():
    page = rasterc("explain", "--page")
    index = rasterc("explain")
    for rule in all_rules().values():
        assert f"\n### {rule.id}\n" in page
        assert f"\n  {rule.id} " in index
        assert rule.question in page
        assert rule.question in " ".join(index.split())
    assert page.count("```") == 6 * len(all_rules())
    assert "remedy: " in page


def test_a_page_says_when_the_rule_applies():
    assert 'rules = ["general", "eu-food"]' in rasterc("explain", "x-height")
    assert "Applies: always; it cannot be silenced." in rasterc("explain", "missing-glyph")
    [rule] = json.loads(rasterc("explain", "gs1-date", "--json"))["rules"]
    assert rule["rules"] == "gs1"

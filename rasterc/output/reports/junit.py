"""Findings as JUnit XML, for programs that show test results.

There is no standard; this keeps to what the common readers share: ``testsuites`` of one
``testsuite`` for each message, in it one ``testcase`` for each rule, which holds one ``failure``,
or ``skipped`` when all it found is silenced. What does not fail, notes say, goes to
``system-out``. What could not be checked has a ``testcase`` with an ``error`` for each kind of
fault instead. No times: the same findings always give the same bytes.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Sequence
from xml.etree import ElementTree as Xml

from rasterc.diagnostics import Severity
from rasterc.output.reports.results import MessageResults, Result, RuleFacts

_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 has no place for (production 2, Char)."""


def junit(
    messages: Sequence[MessageResults],
    rules: Sequence[RuleFacts],
    failing: Collection[Severity] = (Severity.ERROR, Severity.WARNING),
) -> bytes:
    """A JUnit report, UTF-8.

    Args:
        messages: the findings or faults, one test suite each.
        rules: every rule that was applied, one test case each.
        failing: the severities that fail; others are only told.
    """
    root = Xml.Element("testsuites", name="rasterc")
    suites = [_suite(message, rules, failing) for message in messages]
    for total in ("tests", "failures", "errors", "skipped"):
        root.set(total, str(sum(int(suite.get(total, "0")) for suite in suites)))
    root.extend(suites)
    Xml.indent(root)
    data: bytes = Xml.tostring(root, encoding="utf-8", xml_declaration=True)
    return data + b"\n"


def _suite(
    message: MessageResults, rules: Sequence[RuleFacts], failing: Collection[Severity]
) -> Xml.Element:
    name = message.message or message.file
    if message.line is not None:
        name += f" on {message.line}"
    suite = Xml.Element("testsuite", name=_clean(name), file=_clean(message.file))
    if message.faults:
        suite.extend(_broken(message.faults))
    else:
        for rule in _asked(message, rules):
            own = [result for result in message.results if result.rule == rule.id]
            suite.append(_case(rule, own, failing))
    suite.set("tests", str(len(suite)))
    for total in ("failure", "error"):
        suite.set(f"{total}s", str(len(suite.findall(f"testcase/{total}"))))
    suite.set("skipped", str(len(suite.findall("testcase/skipped"))))
    return suite


def _asked(message: MessageResults, rules: Sequence[RuleFacts]) -> Iterator[RuleFacts]:
    """The rules that were asked of a message."""
    return (rule for rule in rules if message.asked is None or rule.id in message.asked)


def _broken(faults: Sequence[Result]) -> Iterator[Xml.Element]:
    """A test case that could not be run, for each kind of fault."""
    for code in dict.fromkeys(fault.rule for fault in faults):
        same = [fault for fault in faults if fault.rule == code]
        case = Xml.Element("testcase", classname="rasterc.input", name=code)
        error = Xml.SubElement(case, "error", message=_clean(same[0].text), type=code)
        error.text = "\n".join(map(_line, same))
        yield case


def _case(rule: RuleFacts, results: Sequence[Result], fails: Collection[Severity]) -> Xml.Element:
    case = Xml.Element("testcase", classname=f"rasterc.{rule.family}", name=rule.id)
    open_ = [r for r in results if r.because is None]
    failing = [r for r in open_ if r.severity in fails]
    notes = [r for r in open_ if r.severity not in fails]
    silenced = [r for r in results if r.because is not None]
    if failing:
        worst = min(failing, key=lambda r: list(Severity).index(r.severity)).severity
        failure = Xml.SubElement(case, "failure", message=_clean(failing[0].text), type=worst)
        failure.text = "\n".join(map(_line, failing))
    elif silenced:
        because = "; ".join(dict.fromkeys(r.because for r in silenced if r.because))
        Xml.SubElement(case, "skipped", message=_clean(f"silenced: {because}"))
    if notes:
        Xml.SubElement(case, "system-out").text = "\n".join(map(_line, notes))
    return case


def _line(result: Result) -> str:
    span = result.span
    place = f"{span.source.name}:{span.line}:{span.column}: " if span else ""
    return _clean(f"{place}{result.severity}: {result.text}")


def _clean(text: str) -> str:
    return _NOT_XML.sub("\ufffd", text)

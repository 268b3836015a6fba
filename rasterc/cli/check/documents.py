"""What `rasterc check` found, for other programs: SARIF, JUnit and JSON."""

from __future__ import annotations

from msgspec import to_builtins

import rasterc
from rasterc.checks.coverage import Coverage
from rasterc.checks.model import Finding, Rule
from rasterc.checks.registry import active_rules
from rasterc.cli.check.all_files import Outcome
from rasterc.cli.check.checked import Broken, Checked
from rasterc.cli.check.files import ReportFiles
from rasterc.cli.check.report import View, fails, summed
from rasterc.domain.words import MANY
from rasterc.output.reports.results import MessageResults, Result, RuleFacts
from rasterc.profile.model import LineProfile


def write_reports(
    outcome: Outcome, profile: LineProfile | None, view: View, files: ReportFiles
) -> None:
    """Write the files asked for; raises `InputError` when one cannot be written."""
    messages = [_results(one, view) for one in outcome.checked]
    messages += [_faults(one) for one in outcome.broken]
    rules = [_facts(rule) for rule in active_rules(profile).values()]
    files.write(messages, rules, rasterc.__version__, view.fail_on.severities)


def document(outcome: Outcome, profile: LineProfile | None, view: View) -> dict[str, object]:
    """What was found as plain JSON values."""
    summary = summed(outcome, view)
    counts = {f"{severity}s": number for severity, (number, _) in summary.found.items()}
    return {
        "messages": [_document(one, profile, view) for one in outcome.checked],
        "summary": {
            "messages": summary.messages,
            **counts,
            "clean": summary.clean,
            "broken": summary.broken,
            "failed": bool(outcome.broken) or fails(outcome, view.fail_on),
        },
        "diagnostics": [fault.as_dict() for fault in outcome.faults()],
    }


def _document(one: Checked, profile: LineProfile | None, view: View) -> dict[str, object]:
    return {
        "message": one.message,
        "file": one.file,
        "at": one.at,
        "instants": len(one.instants) or 1,
        "lines": list(one.lines),
        "profile": profile.name if profile else None,
        "timing": [to_builtins(at_speed) for at_speed in one.timing],
        "findings": [finding.as_dict() for finding in view.shown(one.report.findings)],
        "coverage": _coverage(one.coverage),
        "silenced": [s.finding.as_dict() | {"because": s.reason} for s in one.report.silenced],
    }


def _coverage(covered: Coverage) -> dict[str, object]:
    strings = covered.strings
    known = strings is not None and strings.number < MANY
    return {
        "prints": covered.prints,
        "strings": strings.number if strings and known else None,
        "strings_said": strings.said if strings else None,
        "rules": [
            {"rule": one.rule, "limit": one.limit or None, "how": one.how} for one in covered.rules
        ],
    }


def _results(one: Checked, view: View) -> MessageResults:
    results = [_result(finding, None) for finding in view.shown(one.report.findings)]
    results += [_result(s.finding, s.reason) for s in one.report.silenced]
    return MessageResults(one.message, one.file, results)


def _faults(broken: Broken) -> MessageResults:
    faults = [Result(f.code, f.severity, f.message, f.help, f.span) for f in broken.faults]
    return MessageResults(broken.message, broken.file, faults=faults)


def _result(finding: Finding, because: str | None) -> Result:
    return Result(
        finding.rule, finding.severity, finding.message, finding.remedy, finding.span,
        finding.at, because,
    )  # fmt: skip


def _facts(rule: Rule) -> RuleFacts:
    help = f"{rule.rationale} Source: {rule.source}."
    return RuleFacts(rule.id, rule.title, help, rule.severity, rule.family)

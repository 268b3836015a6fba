"""What `rasterc check` found, for other programs: SARIF, JUnit and JSON."""

from __future__ import annotations

from msgspec import structs, to_builtins

import rasterc
from rasterc.checks.covered import Coverage
from rasterc.checks.findings import Finding
from rasterc.cli.check.files import ReportFiles
from rasterc.cli.check.outcome import Outcome
from rasterc.cli.check.table import rows
from rasterc.cli.check.view import View, fails, summed
from rasterc.diagnostics import Diagnostic
from rasterc.domain.count import MANY
from rasterc.inspection.verdict import Accepted, Verdict
from rasterc.output.reports.results import MessageResults, Result, RuleFacts


def write_reports(outcome: Outcome, view: View, files: ReportFiles) -> None:
    """Write the files asked for; raises `InputError` when one cannot be written."""
    if files.paths:
        messages = [_results(one, view) for one in outcome.checked]
        messages += [_faults(one) for one in outcome.broken]
        files.write(messages, _asked(outcome), rasterc.__version__, view.fail_on.severities)


def _asked(outcome: Outcome) -> list[RuleFacts]:
    """Every rule that was asked of any message, by id; the general ones when none could be."""
    from rasterc.checks.registry import active_rules, all_rules

    asked = {one.rule for verdict in outcome.checked for one in verdict.coverage.rules}
    return [
        RuleFacts(
            rule.id,
            rule.title,
            f"{rule.rationale} Source: {rule.source}.",
            rule.severity,
            rule.family,
        )
        for name, rule in all_rules().items()
        if name in (asked or active_rules(None))
    ]


def document(outcome: Outcome, view: View) -> dict[str, object]:
    """What was found as plain JSON values."""
    summary = summed(outcome.verdicts, view)
    counts = {f"{severity}s": number for severity, (number, _) in summary.found.items()}
    return {
        "messages": [_document(one, view) for one in outcome.checked],
        "broken": [
            {"message": one.message or None, "file": one.file, "line": one.line}
            for one in outcome.broken
        ],
        "lines": [structs.asdict(row) for row in rows(outcome)],
        "summary": {
            "messages": summary.messages,
            **counts,
            "clean": summary.clean,
            "broken": summary.broken,
            "failed": bool(outcome.broken) or fails(outcome.checked, view.fail_on),
        },
        "diagnostics": [fault.as_dict() for fault in outcome.faults()],
    }


def _document(one: Verdict, view: View) -> dict[str, object]:
    return {
        "message": one.message,
        "file": one.file,
        "line": one.line,
        "at": one.at,
        "instants": one.instants.number if one.instants else 1,
        "lines": list(one.lines),
        "profile": one.profile,
        "timing": [to_builtins(at_speed) for at_speed in one.timing],
        "findings": [finding.as_dict() for finding in view.shown(one.findings)],
        "coverage": _coverage(one.coverage),
        "silenced": [_silenced(accepted) for accepted in one.silenced],
    }


def _silenced(accepted: Accepted) -> dict[str, object]:
    by = "message" if accepted.silence is None else "plant"
    return accepted.finding.as_dict() | {"because": accepted.because, "by": by}


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


def _results(one: Verdict, view: View) -> MessageResults:
    results = [_result(finding) for finding in view.shown(one.findings)]
    results += [_accepted(accepted) for accepted in one.silenced]
    asked = frozenset(covered.rule for covered in one.coverage.rules)
    return MessageResults(one.message, one.file, results, line=one.line, asked=asked)


def _faults(broken: Verdict) -> MessageResults:
    faults = list(map(_fault, broken.faults))
    return MessageResults(broken.message, broken.file, faults=faults, line=broken.line)


def _fault(fault: Diagnostic) -> Result:
    return Result(fault.code, fault.severity, fault.message, fault.help, fault.span)


def _result(finding: Finding) -> Result:
    return Result(
        finding.rule,
        finding.severity,
        finding.message,
        finding.remedy,
        finding.span,
        finding.at,
    )


def _accepted(accepted: Accepted) -> Result:
    by_plant = accepted.silence is not None
    return structs.replace(_result(accepted.finding), because=accepted.because, outside=by_plant)

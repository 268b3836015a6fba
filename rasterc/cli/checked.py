"""What `rasterc check` works out: messages with what was found in them, and files for others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

import rasterc
from rasterc.api import Code, Print
from rasterc.checks.model import Finding, Rule
from rasterc.checks.registry import Report, active_rules, report
from rasterc.checks.samples import sample_inputs
from rasterc.checks.survey import survey
from rasterc.cli.common import Request, instant_of, no_message
from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.output.results import MessageResults, Result, RuleFacts
from rasterc.profile.model import LineProfile

SUFFIX = "*.rasterc"
LAST_YEAR = 9990  # rules look some years ahead, and Python's calendar ends with 9999


@dataclass(frozen=True, slots=True)
class Checked:
    """A message, its print at the first instant, what was found, and the instants looked at."""

    printed: Print
    report: Report
    instants: tuple[datetime, ...] = ()


def check_once(request: Request, profile: LineProfile | None) -> list[Checked]:
    """Every message asked for at the instant asked for; raises `InputError`."""
    prints = request.prints()
    refuse_far(prints, 1)
    return [Checked(p, report(p.subject(profile))) for p in prints]


def refuse_far(prints: Sequence[Print], years: int) -> None:
    """Refuse to look ahead past what calendars are made for; raises `InputError`."""
    for printed in prints:
        when = printed.resolved.instant.when
        if when is not None and when.year + years > LAST_YEAR:
            raise InputError.one(
                "bad-horizon",
                f"{years} year(s) from {when.date()} go beyond the year {LAST_YEAR}",
                help="is the year right? give an earlier --at, or fewer --years",
            )


def check_all(request: Request, profile: LineProfile | None, years: int) -> list[Checked]:
    """Every message of a file or folder at its edge instants.

    Counters print their first value and inputs a made-up text, where none is given.

    Raises:
        InputError: with the faults of all files.
    """
    codes, unreadable = _codes(request)
    when, pairs, faults = request.given(codes)
    faults += unreadable
    prints: list[Print] = []
    for code in codes if when else ():
        try:
            given = instant_of(code.message, when, pairs)
            inputs = sample_inputs(code.plan, given.inputs)
            prints.append(code.resolve_at(replace(given, inputs=inputs)))
        except InputError as error:
            faults += error.diagnostics
    if faults:
        raise InputError(faults)
    if not prints:
        raise no_message(request.file)
    refuse_far(prints, years)
    return list(_surveyed(prints, profile, years))


def write_reports(
    checked: Sequence[Checked], profile: LineProfile | None, sarif: Path | None, junit: Path | None
) -> None:
    """Write the files asked for; raises `InputError` when one cannot be written."""
    from rasterc.output.files import write_whole

    messages = [_results(one) for one in checked]
    rules = [_facts(rule) for rule in active_rules(profile).values()]
    if sarif:
        from rasterc.output.sarif import sarif as to_sarif

        write_whole(sarif, to_sarif(messages, rules, rasterc.__version__))
    if junit:
        from rasterc.output.junit import junit as to_junit

        write_whole(junit, to_junit(messages, rules))


def _codes(request: Request) -> tuple[list[Code], list[Diagnostic]]:
    """The messages of all files, or those of the name asked for, and what cannot be read."""
    codes: dict[str, list[Code]] = {}
    faults: list[Diagnostic] = []
    for file in _files(request.file):
        try:
            for name, code in replace(request, file=file, message=None).codes().items():
                codes.setdefault(name, []).append(code)
        except InputError as error:
            faults += error.diagnostics
    wanted = request.message
    if wanted is None:
        return [code for found in codes.values() for code in found], faults
    if wanted not in codes and not faults:
        message = f'{request.file} holds no message "{wanted}"'
        faults.append(Diagnostic("unknown-message", message, help=did_you_mean(wanted, codes)))
    return codes.get(wanted, []), faults


def _files(path: Path) -> list[Path]:
    """The file itself, or the message files below a folder in alphabetical order."""
    return sorted(path.rglob(SUFFIX)) if path.is_dir() else [path]


def _surveyed(
    prints: Sequence[Print], profile: LineProfile | None, years: int
) -> Iterator[Checked]:
    for printed in prints:
        found = survey(printed.subject(profile), years)
        yield Checked(printed, found.report, found.instants)


def _results(checked: Checked) -> MessageResults:
    message = checked.printed.resolved.message
    results = [_result(finding, None) for finding in checked.report.findings]
    results += [_result(s.finding, s.reason) for s in checked.report.silenced]
    return MessageResults(message.name, message.span.source.name, results)


def _result(finding: Finding, because: str | None) -> Result:
    return Result(
        finding.rule, finding.severity, finding.message, finding.remedy, finding.span,
        finding.at, because,
    )  # fmt: skip


def _facts(rule: Rule) -> RuleFacts:
    help = f"{rule.rationale} Source: {rule.source}."
    return RuleFacts(rule.id, rule.title, help, rule.severity, rule.family)

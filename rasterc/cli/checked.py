"""What `rasterc check` works out: messages with what was found in them, and files for others."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
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
from rasterc.cli.notes import noted_twice
from rasterc.cli.reports import ReportFiles
from rasterc.cli.say import Teller
from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.files import find_files, is_folder
from rasterc.output.results import MessageResults, Result, RuleFacts
from rasterc.profile.model import LineProfile
from rasterc.values.offsets import LAST_YEAR

SUFFIX = ".rasterc"


@dataclass(frozen=True, slots=True)
class Checked:
    """A message, its print at the first instant, what was found, and the instants looked at."""

    printed: Print
    report: Report
    instants: tuple[datetime, ...] = ()


@dataclass(frozen=True, slots=True)
class Broken:
    """A message, or a whole file (``message`` is "" then), that cannot be checked, and why."""

    message: str
    file: str
    faults: tuple[Diagnostic, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What could be checked and what could not."""

    checked: Sequence[Checked]
    broken: Sequence[Broken]

    def faults(self) -> Iterable[Diagnostic]:
        """What is wrong with the input, each fault once."""
        return dict.fromkeys(fault for one in self.broken for fault in one.faults)


def look(
    request: Request, profile: LineProfile | None, years: int | None, teller: Teller
) -> Outcome:
    """Check every message of a file or folder: at one instant, or at the edges of some years.

    Counters print their first value where none is given. Inputs without a default are faults at
    one instant, and have a made-up text at the edges.

    Raises:
        InputError: the moment or a setting is wrong, or there is no message.
    """
    codes, broken = _codes(request)
    when, pairs, faults = request.given(codes, all_known=not broken)
    if faults:
        raise InputError(faults)
    prints: list[Print] = []
    for code in codes:
        try:
            given = instant_of(code.message, when, pairs)
            if years is not None:
                given = replace(given, inputs=sample_inputs(code.plan, given.inputs))
            prints.append(code.resolve_at(given))
        except InputError as error:
            message = code.message
            broken.append(Broken(message.name, message.span.source.name, error.diagnostics))
    if not prints and not broken:
        raise no_message(request.file)
    refuse_far(prints, years or 1)
    teller.note(*noted_twice(when, prints))
    return Outcome(list(_looked_at(prints, profile, years)), broken)


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


def write_reports(outcome: Outcome, profile: LineProfile | None, files: ReportFiles) -> None:
    """Write the files asked for; raises `InputError` when one cannot be written."""
    messages = [_results(one) for one in outcome.checked]
    messages += [_faults(one) for one in outcome.broken]
    rules = [_facts(rule) for rule in active_rules(profile).values()]
    files.write(messages, rules, rasterc.__version__)


def _codes(request: Request) -> tuple[list[Code], list[Broken]]:
    """The messages of all files, or those of the name asked for, and what cannot be read."""
    codes: dict[str, list[Code]] = {}
    broken: list[Broken] = []
    for file in files_of(request.file):
        try:
            for name, code in replace(request, file=file, message=None).codes().items():
                codes.setdefault(name, []).append(code)
        except InputError as error:
            broken.append(Broken("", str(file), error.diagnostics))
    wanted = request.message
    if wanted is None:
        return [code for found in codes.values() for code in found], broken
    if wanted not in codes and not broken:
        message = f'{request.file} holds no message "{wanted}"'
        raise InputError.one("unknown-message", message, help=did_you_mean(wanted, codes))
    return codes.get(wanted, []), broken


def files_of(path: Path) -> list[Path]:
    """The file itself, or the message files below a folder in alphabetical order."""
    return find_files(path, SUFFIX) if is_folder(path) else [path]


def _looked_at(
    prints: Sequence[Print], profile: LineProfile | None, years: int | None
) -> Iterator[Checked]:
    for printed in prints:
        if years is None:
            yield Checked(printed, report(printed.subject(profile)))
        else:
            found = survey(printed.subject(profile), years)
            yield Checked(printed, found.report, found.instants)


def _results(checked: Checked) -> MessageResults:
    message = checked.printed.resolved.message
    results = [_result(finding, None) for finding in checked.report.findings]
    results += [_result(s.finding, s.reason) for s in checked.report.silenced]
    return MessageResults(message.name, message.span.source.name, results)


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

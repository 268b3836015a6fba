"""A message held against every rule at many instants, each finding reported once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from rasterc.checks.edges import edge_instants
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.registry import Report, active_rules, sorted_out
from rasterc.checks.rules.hygiene import CannotPrint, UnusedSilence
from rasterc.diagnostics import InputError, Span

_Key = tuple[str, Span | None, str]


@dataclass(frozen=True, slots=True)
class Survey:
    """What was found over many instants.

    Attributes:
        report: the findings, each with the first instant it is worst at as its witness.
        instants: the instants looked at, in order; empty for a message that reads no clock.
    """

    report: Report
    instants: tuple[datetime, ...]


def survey(subject: Subject, years: int) -> Survey:
    """Every chosen rule over the edge instants of so many years from the subject's instant."""
    instants = edge_instants(subject, years)
    rules = tuple(active_rules(subject.profile).values())
    report = sorted_out(_merged(_findings(subject, rules, instants)), subject.message)
    used = {silenced.finding.rule for silenced in report.silenced}
    open_ = tuple(f for f in report.findings if not _was_used(f, subject, used))
    return Survey(replace(report, findings=open_), instants)


def _findings(
    subject: Subject, rules: tuple[Rule, ...], instants: tuple[datetime, ...]
) -> Iterator[Finding]:
    for rule in rules:
        yield from rule.of_any_print(subject)
    for when in instants or (None,):
        try:
            other = subject.moved(when) if when else subject
        except InputError as error:
            at = when.isoformat(" ", "minutes") if when else ""
            yield from (CannotPrint().fails(subject, fault, at) for fault in error.diagnostics)
            continue
        for rule in rules:
            yield from rule.of_print(other)


def _merged(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Findings of one rule at one place become the worst of them; of equals, the first."""
    kept: dict[_Key, Finding] = {}
    moments: dict[_Key, set[str]] = {}
    for finding in findings:
        what = finding.unit if _is_measured(finding) else finding.message
        key = finding.rule, finding.span, what
        moments.setdefault(key, set()).add(finding.at)
        known = kept.setdefault(key, finding)
        if _excess(finding) > _excess(known):
            kept[key] = finding
    for key, finding in kept.items():
        yield replace(finding, times=len(moments[key]))


def _is_measured(finding: Finding) -> bool:
    return finding.measured is not None and finding.limit is not None


def _excess(finding: Finding) -> float:
    if finding.measured is None or finding.limit is None:
        return 0.0
    return abs(finding.measured - finding.limit)


def _was_used(finding: Finding, subject: Subject, used: set[str]) -> bool:
    """A silence found unused at the first instant that silenced something at a later one."""
    if finding.rule != UnusedSilence.id:
        return False
    silences = (s for s in subject.message.silences if s.span == finding.span)
    return any(silence.rule.text in used for silence in silences)

"""A message held against every rule at many instants, each finding reported once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from rasterc.checks.coverage import Coverage, coverage
from rasterc.checks.edges import edge_instants
from rasterc.checks.lives import life_instants
from rasterc.checks.measures import MEASURES
from rasterc.checks.model import FAULTS, LIVES, Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import chain_of
from rasterc.checks.registry import (
    Report,
    Watch,
    active_rules,
    of_message,
    sorted_out,
    those_of_prints,
)
from rasterc.checks.rules.message.cannot_print import CannotPrint
from rasterc.checks.rules.message.require import RequireRule
from rasterc.diagnostics import InputError, Span
from rasterc.extremes.model import ExtremesReport
from rasterc.extremes.report import extremes
from rasterc.values import Instant
from rasterc.values.moved import ends_of_dates

_Key = tuple[str, Span | None, str]
MAX_CHARACTERS = 800_000
"""Characters that are looked at by all rules, over all instants: some seconds of work."""

_EXTREMES = tuple(dict.fromkeys(name for one in MEASURES.values() for name in one.extremes))


@dataclass(frozen=True, slots=True)
class Survey:
    """What was found over many instants.

    Attributes:
        report: the findings, each with the first instant it is worst at as its witness.
        instants: the instants looked at, in order; empty for a message that reads no clock.
        coverage: which verdicts hold over every value, and which at the prints looked at.
    """

    report: Report
    instants: tuple[datetime, ...]
    coverage: Coverage

    def __repr__(self) -> str:
        """What was found, and over how many instants."""
        return f"<Survey of {len(self.instants)} instants: {self.report!r}>"


def survey(subject: Subject, years: int, watch: Watch | None = None) -> Survey:
    """Every chosen rule over so many years from the subject's instant.

    Looked at are the edge instants, those at which dates lie nearest to production and farthest
    ahead, with the subject's counters and inputs; and the values at which each measure of
    `require` is least and greatest of all. Where only a bound of one is known, and it breaks a
    limit, that is said: it was not proved.

    Raises:
        InputError: the prints are too long to be looked at at so many instants.
    """
    instants = edge_instants(subject, years)
    _check_work(subject, years, len(instants))
    rules = tuple(active_rules(subject.profile).values())
    known: set[str] = set()
    lives = _lives(subject, years)
    looked_at = all(mine is not None for _, mine in lives)
    if looked_at and subject.all_cases and subject.all_rows and not _is_typed(subject):
        known.add(LIVES)
    own = lives[0][1]
    report = _extremes(subject, years, known)
    standing = of_message(rules, subject, watch)
    at_instants = list(_findings(subject, rules, _in_order((*instants, *(own or ())))))
    for other, mine in lives[1:]:
        at_instants += _findings(other, rules, _in_order(mine or ()))
    worst = _witnesses(report)
    found = (*standing, *at_instants, *_at_extremes(subject, rules, report, worst))
    prints = len(_in_order((*instants, *(own or ())))) or 1
    prints += sum(len(mine or ()) for _, mine in lives[1:])
    strings = report.strings if report else None
    covered = coverage(subject, known, prints + len(worst), strings)
    return Survey(sorted_out(_merged(found), subject.message), instants, covered)


def _in_order(instants: Iterable[datetime]) -> tuple[datetime, ...]:
    """Instants in order of time, each once."""
    found = {moment.astimezone(UTC): moment for moment in instants}
    return tuple(found[moment] for moment in sorted(found))


def _lives(subject: Subject, years: int) -> list[tuple[Subject, tuple[datetime, ...] | None]]:
    """The instants of `life_instants` with each kind of row; None where they are not known."""
    found: list[tuple[Subject, tuple[datetime, ...] | None]] = []
    for one in (subject, *subject.others):
        try:
            found.append((one, life_instants(one, years)))
        except InputError:
            found.append((one, None))
    return found


def _is_typed(subject: Subject) -> bool:
    """Whether a printed date is one that is typed in."""
    return any(chain_of(subject, mark.clock)[0].typed for mark in marks(subject))


def _extremes(subject: Subject, years: int, known: set[str]) -> ExtremesReport | None:
    """The extremes of all measures, and which of them are known; None where there are none."""
    start = subject.when or datetime(2000, 1, 1)  # a message without clock is the same at any time
    try:
        report = extremes(
            subject.whole,
            subject.fonts,
            start,
            years,
            measures=_EXTREMES,
            composer=subject.composer,
        )
    except InputError:
        return None  # other findings say why
    known.update(extreme.name for extreme in report.extremes if extreme.exact)
    known.update({FAULTS} if report.all_known else ())
    return report


def _check_work(subject: Subject, years: int, instants: int) -> None:
    characters = sum(map(len, subject.resolved.lines))
    if instants * characters > MAX_CHARACTERS:
        some = max(1, years * MAX_CHARACTERS // (instants * characters))
        raise InputError.one(
            "too-many-instants",
            f"prints of {characters:,} characters at {instants:,} instants are too much to look at",
            help=f"give fewer years, {some} say, and go on from there with --from or --at",
        )


def _findings(
    subject: Subject, rules: tuple[Rule, ...], instants: tuple[datetime, ...]
) -> Iterator[Finding]:
    of_prints = those_of_prints(rules)
    for when in instants or ((None,) if subject.when is None else ()):
        try:
            others = _dated(subject.moved(when) if when else subject)
        except InputError as error:
            at = when.isoformat(" ", "minutes") if when else ""
            yield from (CannotPrint().fails(subject, fault, at) for fault in error.diagnostics)
            continue
        for other in others:
            for rule in of_prints:
                yield from rule.of_print(other)


def _dated(subject: Subject) -> list[Subject]:
    """A subject with its typed dates on the first and on the last day that they may be."""
    if not subject.plan.dates:
        return [subject]
    return [
        subject.with_values(one) for one in ends_of_dates(subject.plan, subject.resolved.instant)
    ]


def _witnesses(report: ExtremesReport | None) -> dict[str, Instant]:
    """The values at which measures are extreme, and those without a print, by what they are."""
    if report is None:
        return {}
    worst = {found.witness.said: found.witness.instant for found in report.extremes}
    return worst | {fault.said: fault.instant for fault in report.faults}


def _at_extremes(
    subject: Subject,
    rules: tuple[Rule, ...],
    report: ExtremesReport | None,
    worst: Mapping[str, Instant],
) -> Iterator[Finding]:
    """What the rules find at the extremes."""
    if report is not None and any(rule.id == RequireRule.id for rule in rules):
        yield from RequireRule().at_bounds(subject, report.by_name)
    for said, instant in worst.items():
        try:
            other = subject.with_values(instant)
        except InputError as error:
            yield from (CannotPrint().fails(subject, fault, said) for fault in error.diagnostics)
            continue
        for rule in those_of_prints(rules):
            yield from (replace(found, at=said) for found in rule.of_print(other))


def _merged(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Findings of one rule at one place become the worst of them; of equals, the first."""
    kept: dict[_Key, Finding] = {}
    moments: dict[_Key, dict[str, None]] = {}  # in order of time, then those at extremes
    for finding in findings:
        what = finding.unit if _is_measured(finding) else finding.message
        key = finding.rule, finding.span, what
        moments.setdefault(key, {})[finding.at] = None
        known = kept.setdefault(key, finding)
        if _excess(finding) > _excess(known):
            kept[key] = finding
    for key, finding in kept.items():
        yield replace(finding, times=len(moments[key]), since=next(iter(moments[key])))


def _is_measured(finding: Finding) -> bool:
    return finding.measured is not None and finding.limit is not None


def _excess(finding: Finding) -> float:
    if finding.measured is None or finding.limit is None:
        return 0.0
    return abs(finding.measured - finding.limit)

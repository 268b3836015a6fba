"""All rules there are, and what those that are chosen find in a message.

The rules are every `Rule` in the rooms of `rasterc.checks.rules`.
"""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache

from rasterc.checks import rules
from rasterc.checks.model import FAULTS, Finding, Rule, Subject
from rasterc.checks.silence import covers
from rasterc.diagnostics import InputError, Severity, Span, did_you_mean
from rasterc.profile.model import LineProfile, RuleSet
from rasterc.source.message import Message, Silence

Watch = Callable[[str], None]
"""Told which rule is at work."""

_ORDER = list(Severity)
UNUSED_SILENCE = "unused-silence"
"""The rule whose findings fall when another print shows what the silence is for."""


@cache
def all_rules() -> dict[str, Rule]:
    """Every rule by id, in alphabetical order."""
    found: list[Rule] = []
    for module_info in pkgutil.walk_packages(rules.__path__, f"{rules.__name__}."):
        module = importlib.import_module(module_info.name)
        found += [
            value()
            for value in vars(module).values()
            if isinstance(value, type)
            and issubclass(value, Rule)
            and value.__module__ == module.__name__
        ]
    return {rule.id: rule for rule in sorted(found, key=lambda rule: rule.id)}


def find_rule(name: str) -> Rule:
    """The rule of that id; raises `InputError` naming the nearest one."""
    if rule := all_rules().get(name):
        return rule
    raise InputError.one("unknown-rule", f'no rule "{name}"', help=did_you_mean(name, all_rules()))


def active_rules(profile: LineProfile | None) -> dict[str, Rule]:
    """The general rules and those of the sets a profile chooses, by id."""
    chosen = {RuleSet.GENERAL, *(profile.rules if profile else ())}
    return {name: rule for name, rule in all_rules().items() if rule.rule_set in chosen}


@dataclass(frozen=True, slots=True)
class Silenced:
    """A finding that the message accepts, and the statement that says why."""

    finding: Finding
    silence: Silence

    @property
    def reason(self) -> str:
        """Why it is accepted."""
        return self.silence.reason


@dataclass(frozen=True, slots=True)
class Report:
    """What was found, errors first, then in the order of the source; and what was silenced."""

    findings: tuple[Finding, ...]
    silenced: tuple[Silenced, ...] = ()

    def __repr__(self) -> str:
        """How much was found."""
        return f"<Report: {len(self.findings)} finding(s), {len(self.silenced)} silenced>"


def check(subject: Subject) -> tuple[Finding, ...]:
    """What the chosen rules find, apart from what the message silences."""
    return report(subject).findings


def report(subject: Subject, watch: Watch | None = None) -> Report:
    """What the chosen rules find at the subject's instant, and what the message silences."""
    return Checker(subject, watch).report(subject)


class Checker:
    """The chosen rules, ready for many prints of one message on one line.

    What the rules find in the message, the same at every instant, is looked up once, at the first
    print: the year that follows it and the flights of its drops among it. What depends on the
    texts and strokes of a print is looked at in each.
    """

    __slots__ = ("_of_message", "_of_prints")

    def __init__(self, first: Subject, watch: Watch | None = None) -> None:
        rules = tuple(active_rules(first.profile).values())
        self._of_message = tuple(of_message(rules, first, watch))
        self._of_prints = those_of_prints(rules)

    def report(self, subject: Subject) -> Report:
        """What is found in the message and in this print of it, and what is silenced."""
        of_print = (f for rule in self._of_prints for f in rule.of_print(subject))
        return sorted_out((*self._of_message, *of_print), subject.message)


def of_message(
    rules: Iterable[Rule], subject: Subject, watch: Watch | None = None
) -> Iterator[Finding]:
    """What the rules find that is the same at every instant; some take their time.

    Where rows of product tables differ, rules look at one of each kind of row: in the order of
    the table, and each finding told once, with the first row that has it.
    """
    for rule in rules:
        if watch is not None:
            watch(rule.id)
        found = list(rule.of_any_print(subject))
        yield from found
        if subject.others and _looks_at_rows(rule, subject):
            yield from _of_others(rule, subject, {finding.span for finding in found})


def _looks_at_rows(rule: Rule, subject: Subject) -> bool:
    """Whether a rule looks at other rows; of faults the extremes of all rows tell."""
    return not rule.flies and FAULTS not in (rule.proof(subject) or ())


def _of_others(rule: Rule, subject: Subject, told: set[Span | None]) -> Iterator[Finding]:
    """What a rule finds with other kinds of rows, at places where it has found nothing yet."""
    found: dict[Span | None, Finding] = {}
    rows: dict[Span | None, int] = {}
    for other in subject.others:
        for finding in rule.of_any_print(other):
            if finding.span not in told:
                found.setdefault(finding.span, replace(finding, at=finding.at or other.row))
                rows[finding.span] = rows.get(finding.span, 0) + 1
    yield from (replace(finding, times=rows[span]) for span, finding in found.items())


def those_of_prints(rules: Iterable[Rule]) -> tuple[Rule, ...]:
    """The rules that look at prints one by one."""
    return tuple(rule for rule in rules if type(rule).of_print is not Rule.of_print)


def sorted_out(findings: Iterable[Finding], message: Message) -> Report:
    """Findings apart from those silenced, each once, both in order."""
    open_: list[Finding] = []
    silenced: list[Silenced] = []
    for finding in sorted(_once(findings), key=_place):
        silence = _silence_of(finding, message)
        if silence is None:
            open_.append(finding)
        else:
            silenced.append(Silenced(finding, silence))
    used = {one.silence.span for one in silenced}
    return Report(
        tuple(f for f in open_ if f.rule != UNUSED_SILENCE or f.span not in used), tuple(silenced)
    )


def _once(findings: Iterable[Finding]) -> Iterable[Finding]:
    """A finding of one print that is also one of the whole message is kept once."""
    return {replace(finding, at="", strokes=None): finding for finding in findings}.values()


def _silence_of(finding: Finding, message: Message) -> Silence | None:
    if not all_rules()[finding.rule].can_be_silenced:
        return None
    return next((s for s in message.silences if covers(s, finding)), None)


def _place(finding: Finding) -> tuple[int, str, int, str, str]:
    span = finding.span
    return (
        _ORDER.index(finding.severity),
        span.source.name if span else "",
        span.start if span else -1,
        finding.rule,
        finding.message,
    )

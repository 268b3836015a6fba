"""What `rasterc check` says of what it found: message by message, then what many share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rasterc.checks.coverage import How
from rasterc.checks.model import Finding
from rasterc.cli.check.all_files import Outcome
from rasterc.cli.check.checked import Checked
from rasterc.cli.check.severities import FailOn, at_least
from rasterc.diagnostics import Severity
from rasterc.profile.model import LineProfile

_ENOUGH = 3  # messages in which a finding is the same, to be said once for all
_NAMES = 8  # messages that are named, of a note


@dataclass(frozen=True, slots=True)
class View:
    """What is shown.

    Attributes:
        fail_on: what fails.
        least: the mildest finding that is shown.
        quiet: show nothing but what fails.
        fold: say what is the same in many messages once.
    """

    fail_on: FailOn = FailOn.WARNING
    least: Severity = Severity.NOTE
    quiet: bool = False
    fold: bool = True

    def shown(self, findings: Iterable[Finding]) -> tuple[Finding, ...]:
        """The findings that are shown."""
        shown = set(at_least(self.least))
        if self.quiet:
            shown &= set(self.fail_on.severities)
        return tuple(found for found in findings if found.severity in shown)


@dataclass(frozen=True, slots=True)
class Summary:
    """How much was found, and in how many messages.

    Attributes:
        found: for each severity how many findings, and in how many messages.
        hidden: findings that fail and are not shown.
    """

    messages: int
    found: dict[Severity, tuple[int, int]]
    clean: int
    broken: int
    hidden: int

    @property
    def lines(self) -> list[str]:
        """``12 messages: 3 errors in 2, 4 warnings in 3, 7 clean``."""
        parts = [
            f"{counted(number, severity)} in {messages}"
            for severity, (number, messages) in self.found.items()
            if number
        ]
        parts += [f"{self.clean} clean"] if self.clean else []
        parts += [f"{self.broken} that cannot be checked"] if self.broken else []
        out = [f"{counted(self.messages, 'message')}: {', '.join(parts)}"]
        if self.hidden:
            fail = "fails is" if self.hidden == 1 else "fail are"
            out.append(
                f"  {counted(self.hidden, 'finding')} that {fail} not shown: see --min-severity"
            )
        return out


def summed(outcome: Outcome, view: View) -> Summary:
    """The summary of what was found, shown or not."""
    reports = [one.report.findings for one in outcome.checked]
    found = {
        severity: (
            sum(f.severity is severity for findings in reports for f in findings),
            sum(any(f.severity is severity for f in findings) for findings in reports),
        )
        for severity in Severity
    }
    hidden = set(view.fail_on.severities) - set(at_least(view.least))
    return Summary(
        len(outcome.checked) + len(outcome.broken),
        found,
        sum(not findings for findings in reports),
        len(outcome.broken),
        sum(f.severity in hidden for findings in reports for f in findings),
    )


def fails(outcome: Outcome, fail_on: FailOn) -> bool:
    """Whether anything was found that fails."""
    failing = fail_on.severities
    return any(f.severity in failing for one in outcome.checked for f in one.report.findings)


def report(outcome: Outcome, profile: LineProfile | None, view: View) -> list[str]:
    """The lines of the report; none when it is to be quiet and nothing fails."""
    folded = _folded(outcome.checked, view)
    parts = [_of_message(one, profile, view, folded) for one in outcome.checked]
    parts += [_together(group) for group in folded.values()]
    summary = summed(outcome, view)
    if outcome.checked and not view.quiet and (summary.messages > 1 or summary.hidden):
        parts.append(summary.lines)
    if outcome.checked and not view.quiet:
        parts = [*parts[:-1], [*parts[-1], f"  {_covered(outcome.checked)}"]]
    return list(_apart([part for part in parts if part]))


def _covered(checked: Sequence[Checked]) -> str:
    """What the verdicts cover; of messages that differ, from which to which."""
    said = dict.fromkeys(one.coverage.said for one in checked)
    if len(said) == 1:
        return next(iter(said))
    proved = _from_to([one.coverage.number(How.PROVED) for one in checked])
    looked = _from_to([one.coverage.number(How.LOOKED_AT) for one in checked])
    prints = max(one.coverage.prints for one in checked)
    if prints == 1:
        return f"this instant only: of each {proved} rules read the message, {looked} one print"
    return (
        f"of each {proved} rules proved over every value, {looked} looked at in up to "
        f"{prints:,} prints"
    )


def _from_to(numbers: Sequence[int]) -> str:
    least, most = min(numbers), max(numbers)
    return f"{least}" if least == most else f"{least} to {most}"


def counted(number: int, what: str) -> str:
    """``3 errors``, ``1 error``."""
    return f"{number} {what}{'' if number == 1 else 's'}"


def _apart(parts: Sequence[list[str]]) -> Iterator[str]:
    """Parts under each other, an empty line before and after one of several lines."""
    for index, part in enumerate(parts):
        if index and (len(part) > 1 or len(parts[index - 1]) > 1):
            yield ""
        yield from part


_Same = tuple[str, Severity, str]


def _same(finding: Finding) -> _Same:
    return finding.rule, finding.severity, finding.message


def _folded(checked: Sequence[Checked], view: View) -> dict[_Same, list[tuple[Checked, Finding]]]:
    """What is found in the same words in many messages."""
    groups: dict[_Same, list[tuple[Checked, Finding]]] = {}
    for one in checked if view.fold else ():
        for finding in view.shown(one.report.findings):
            groups.setdefault(_same(finding), []).append((one, finding))
    return {
        same: group
        for same, group in groups.items()
        if len({(one.file, one.message) for one, _ in group}) >= _ENOUGH
    }


def _of_message(
    one: Checked,
    profile: LineProfile | None,
    view: View,
    folded: dict[_Same, list[tuple[Checked, Finding]]],
) -> list[str]:
    shown = view.shown(one.report.findings)
    if view.quiet and not shown:
        return []
    lines = [_heading(one, profile)]
    for finding in shown:
        lines += [] if _same(finding) in folded else finding.lines()
    return [*lines, *([] if view.quiet else _silenced(one))]


def _heading(one: Checked, profile: LineProfile | None) -> str:
    against = f' on "{profile.name}"' if profile else ", without a line profile"
    counts = {s: sum(f.severity is s for f in one.report.findings) for s in Severity}
    total = ", ".join(counted(number, severity) for severity, number in counts.items() if number)
    held = f"{one.expects} expect, {one.requires} require checked"
    if one.requires and not one.instants:
        held += "; at this instant only"
    return f"{one.message}{_when(one)}{against}: {total or 'no findings'} ({held})"


def _when(one: Checked) -> str:
    if one.instants:
        first, last = one.instants[0], one.instants[-1]
        return f" at {len(one.instants)} instants from {first.date()} to {last.date()}"
    return one.said


def _silenced(one: Checked) -> list[str]:
    return [
        line
        for silenced in one.report.silenced
        for line in (
            f"silenced[{silenced.finding.rule}]: {silenced.finding.message}",
            f"  because: {silenced.reason}",
        )
    ]


def _together(group: Sequence[tuple[Checked, Finding]]) -> list[str]:
    """A finding of many messages: once, then where; of notes only the first are named."""
    first = group[0][1]
    messages = {(one.file, one.message): one.message for one, _ in group}
    lines = [f"{first.severity}[{first.rule}]: {first.message}"]
    if first.severity is Severity.NOTE:
        names = list(messages.values())
        more = f" and {len(names) - _NAMES} more" if len(names) > _NAMES else ""
        lines.append(f"  in {len(names)} messages: {', '.join(names[:_NAMES])}{more}")
    else:
        lines.append(f"  in {len(messages)} messages:")
        lines += [f"    {_place(finding)}{one.message}{_at(finding)}" for one, finding in group]
    remedies = {finding.remedy for _, finding in group}
    remedy = remedies.pop() if len(remedies) == 1 else f"rasterc explain {first.rule} says more"
    return [*lines, f"  help: {remedy}"]


def _place(finding: Finding) -> str:
    span = finding.span
    return f"{span.source.name}:{span.line}:{span.column}: " if span else ""


def _at(finding: Finding) -> str:
    return f" (at {finding.at})" if finding.at else ""

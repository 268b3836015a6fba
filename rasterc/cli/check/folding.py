"""What is found in the same words in many messages is said once."""

from __future__ import annotations

from collections.abc import Sequence

from rasterc.checks.findings import Finding
from rasterc.cli.check.view import View
from rasterc.diagnostics import Severity
from rasterc.inspection.verdict import Verdict

ENOUGH = 3  # messages in which a finding is the same, to be said once for all
NAMES = 8  # messages that are named, of a note
PLACES = 40  # places that are told, of an error or a warning

Same = tuple[str, Severity, str]
Folded = list[tuple[Verdict, Finding]]


def same(finding: Finding) -> Same:
    """What findings have in common that are said once."""
    return finding.rule, finding.severity, finding.message


def folded(checked: Sequence[Verdict], view: View) -> dict[Same, Folded]:
    """What is found in the same words in many messages."""
    groups: dict[Same, Folded] = {}
    for one in checked if view.fold else ():
        for finding in view.shown(one.findings):
            groups.setdefault(same(finding), []).append((one, finding))
    return {
        what: group
        for what, group in groups.items()
        if len({(one.file, one.message) for one, _ in group}) >= ENOUGH
    }


def together(group: Folded) -> list[str]:
    """A finding of many messages: once, then where; of notes only the first are named."""
    first = group[0][1]
    messages = {(one.file, one.message): one.message for one, _ in group}
    lines = [f"{first.severity}[{first.rule}]: {first.message}"]
    if first.severity is Severity.NOTE:
        names = list(messages.values())
        more = f" and {len(names) - NAMES} more" if len(names) > NAMES else ""
        lines.append(f"  in {len(names)} messages: {', '.join(names[:NAMES])}{more}")
    else:
        lines.append(f"  in {len(messages)} messages:")
        lines += _places(group)
    remedies = {finding.remedy for _, finding in group}
    remedy = remedies.pop() if len(remedies) == 1 else f"rasterc explain {first.rule} says more"
    return [*lines, f"  help: {remedy}"]


def _places(group: Folded) -> list[str]:
    """Every place of a finding, once for all lines that it was found on."""
    places = dict.fromkeys(
        f"    {_place(finding)}{one.message}{_at(finding)}" for one, finding in group
    )
    left = len(places) - PLACES
    more = [f"    and at {left} more places: --no-fold tells all"] if left > 0 else []
    return [*list(places)[:PLACES], *more]


def _place(finding: Finding) -> str:
    span = finding.span
    return f"{span.source.name}:{span.line}:{span.column}: " if span else ""


def _at(finding: Finding) -> str:
    return f" (at {finding.at})" if finding.at else ""

"""What `rasterc check` says of what it found.

Of one file: message by message, then what many share. Of many: the worst first, what is the same
on several lines or in many messages once, nothing of those that are clean; then a table.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from rasterc.checks.covered import How
from rasterc.checks.findings import Finding
from rasterc.cli.check.folding import Folded, Same, folded, same, together
from rasterc.cli.check.outcome import Outcome
from rasterc.cli.check.table import table
from rasterc.cli.check.view import View, counted, summed
from rasterc.diagnostics import Severity
from rasterc.inspection.verdict import Verdict

_ORDER = tuple(Severity)


class _Part(Struct, frozen=True):
    """Lines of the report, and the worst that they tell of."""

    lines: list[str]
    worst: int = len(_ORDER)


def report(outcome: Outcome, view: View) -> list[str]:
    """The lines of the report; none when it is to be quiet and nothing fails."""
    groups = folded(outcome.checked, view)
    shared = [_Part(together(group), _ORDER.index(one[1])) for one, group in groups.items()]
    of_messages = list(_of_messages(outcome, view, groups))
    parts = _worst_first([*shared, *of_messages]) if outcome.many else [*of_messages, *shared]
    closing = [] if view.quiet or not outcome.checked else _closing(outcome, view)
    return list(_apart([part.lines for part in parts if part.lines], closing))


def _worst_first(parts: Iterable[_Part]) -> list[_Part]:
    return sorted(parts, key=lambda part: part.worst)


def _of_messages(outcome: Outcome, view: View, groups: Mapping[Same, Folded]) -> Iterator[_Part]:
    """A part for each message, or for each message and what was found in it on some lines."""
    if not outcome.many:
        for one in outcome.checked:
            silenced = [] if view.quiet else _silenced(one)
            yield _Part([*_of_message([one], view, groups), *silenced])
        return
    alike: dict[object, list[Verdict]] = {}
    for one in outcome.checked:
        alike.setdefault((one.file, one.message, one.said, one.findings), []).append(one)
    for verdicts in alike.values():
        left = _left(verdicts[0], view, groups)
        if left:
            worst = min(_ORDER.index(finding.severity) for finding in left)
            yield _Part(_of_message(verdicts, view, groups), worst)


def _left(one: Verdict, view: View, groups: Mapping[Same, Folded]) -> list[Finding]:
    """What is shown of a message itself."""
    return [finding for finding in view.shown(one.findings) if same(finding) not in groups]


def _of_message(
    verdicts: Sequence[Verdict], view: View, groups: Mapping[Same, Folded]
) -> list[str]:
    """What was found in a message, the same on every line of these."""
    one = verdicts[0]
    if view.quiet and not view.shown(one.findings):
        return []
    lines = [_heading(verdicts)]
    for finding in _left(one, view, groups):
        lines += finding.lines()
    return lines


def _heading(verdicts: Sequence[Verdict]) -> str:
    one = verdicts[0]
    counts = {severity: one.count(severity) for severity in Severity}
    total = ", ".join(counted(number, severity) for severity, number in counts.items() if number)
    held = f"{one.expects} expect, {one.requires} require checked"
    if one.requires and one.instants is None:
        held += "; at this instant only"
    return f"{one.message}{_when(one)}{_against(verdicts)}: {total or 'no findings'} ({held})"


def _against(verdicts: Sequence[Verdict]) -> str:
    """The lines of a plant, or the profile."""
    names = [one.line for one in verdicts if one.line is not None]
    if names:
        return f" on {', '.join(names)}"
    profile = verdicts[0].profile
    return f' on "{profile}"' if profile else ", without a line profile"


def _when(one: Verdict) -> str:
    if one.instants:
        first, last = one.instants.first, one.instants.last
        return f" at {one.instants.number} instants from {first.date()} to {last.date()}"
    return one.said


def _silenced(one: Verdict) -> list[str]:
    return [
        line
        for silenced in one.silenced
        for line in (
            f"silenced[{silenced.finding.rule}]: {silenced.finding.message}",
            f"  because: {silenced.because}",
        )
    ]


def _closing(outcome: Outcome, view: View) -> list[list[str]]:
    """What was accepted, the table, the sums, and what is covered."""
    summary = summed(outcome.verdicts, view)
    sums = summary.lines if summary.messages > 1 or summary.hidden else []
    parts = [_accepted(outcome), table(outcome)]
    return [*filter(None, parts), [*sums, f"  {_covered(outcome.checked)}"]]


def _accepted(outcome: Outcome) -> list[str]:
    """What is known and accepted in many messages: each reason once."""
    reasons: dict[tuple[str, str, str], int] = {}
    for one in outcome.checked if outcome.many else ():
        for accepted in one.silenced:
            place = "" if accepted.silence is None else outcome.silences[accepted.silence]
            key = accepted.finding.rule, accepted.because, place
            reasons[key] = reasons.get(key, 0) + 1
    return [
        line
        for (rule, because, place), number in reasons.items()
        for line in (
            f"silenced[{rule}]: {counted(number, 'finding')}{place and f', by {place}'}",
            f"  because: {because}",
        )
    ]


def _covered(checked: Sequence[Verdict]) -> str:
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


def _apart(parts: Sequence[list[str]], closing: Sequence[list[str]]) -> Iterator[str]:
    """Parts under each other, an empty line before and after one of several lines."""
    whole = [*parts, *closing]
    for index, part in enumerate(whole):
        if index and (len(part) > 1 or len(whole[index - 1]) > 1):
            yield ""
        yield from part

"""What of the findings is shown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from rasterc.checks.findings import Finding
from rasterc.cli.check.severities import FailOn, at_least
from rasterc.diagnostics import Severity
from rasterc.inspection.verdict import Verdict


class View(Struct, frozen=True):
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


class Summary(Struct, frozen=True):
    """How much was found, and in how many messages.

    Attributes:
        of: in how many messages, or runs: messages on their lines.
        found: for each severity how many findings, and in how many of these.
        hidden: findings that fail and are not shown.
    """

    messages: int
    of: str
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
        out = [f"{counted(self.messages, self.of)}: {', '.join(parts)}"]
        if self.hidden:
            fail = "fails is" if self.hidden == 1 else "fail are"
            out.append(
                f"  {counted(self.hidden, 'finding')} that {fail} not shown: see --min-severity"
            )
        return out


def summed(verdicts: Sequence[Verdict], view: View) -> Summary:
    """The summary of what was found, shown or not."""
    checked = [verdict for verdict in verdicts if not verdict.broken]
    counts = {severity: [one.count(severity) for one in checked] for severity in Severity}
    hidden = set(view.fail_on.severities) - set(at_least(view.least))
    return Summary(
        len(verdicts),
        "message" if all(one.line is None for one in verdicts) else "run",
        {severity: (sum(each), len(each) - each.count(0)) for severity, each in counts.items()},
        sum(not one.findings for one in checked),
        len(verdicts) - len(checked),
        sum(sum(counts[severity]) for severity in hidden),
    )


def fails(verdicts: Iterable[Verdict], fail_on: FailOn) -> bool:
    """Whether anything was found that fails."""
    return any(one.count(severity) for one in verdicts for severity in fail_on.severities)


def counted(number: int, what: str) -> str:
    """``3 errors``, ``1 error``."""
    return f"{number} {what}{'' if number == 1 else 's'}"

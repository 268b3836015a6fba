"""A counter that starts again when nothing printed changes."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import chain_of
from rasterc.checks.rules.codes.counted import COUNTED, counters
from rasterc.diagnostics import Severity
from rasterc.source.declarations import Counter
from rasterc.source.times import MoveTo
from rasterc.values.dates.patterns import LETTERS
from rasterc.values.fields.kinds import InputText, ShiftText


class RestartUnprinted(Rule):
    """A counter that starts again when nothing printed changes."""

    id = "restart-unprinted"
    title = "The counter starts again, and the code does not say when"
    severity = Severity.WARNING
    rationale = (
        "A counter that starts again each day is unique only together with the day. Without it "
        "in the code, the same number comes every day."
    )
    source = "common practice, no source"
    trips = Example(
        COUNTED.format(last=9999999, end="stop", date="MMM yyyy", width="0000000",
                        text="Nov 2027 0000001")
    )  # fmt: skip
    passes = Example(
        COUNTED.format(last=9999999, end="stop", date="dd MMM yyyy", width="0000000",
                        text="25 Nov 2027 0000001")
    )  # fmt: skip

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every printed counter whose period is not printed."""
        if _prints(subject, InputText):
            return  # a lot, say, that is new each time
        for counter, span in counters(subject):
            if not _tells_restart(subject, counter):
                yield self.finding(
                    subject,
                    f"counter {counter.name} restarts ({counter.restart}), and the code does not "
                    "tell when: the same numbers come again",
                    span,
                    "print the shift" if counter.restart.of == "shift"
                    else f"print the date of clock {counter.restart_of}, or `restart never`",
                )  # fmt: skip


def _tells_restart(subject: Subject, counter: Counter) -> bool:
    """Whether what is printed of the clock it restarts with changes when it does."""
    own = [m for m in marks(subject) if _goes_with(subject, m.clock, counter)]
    shown = {LETTERS[letter].part.name for mark in own for letter in mark.letters}
    if counter.restart.of == "shift" and _prints(subject, ShiftText):
        return True
    return not counter.restart.of or any(shown.issuperset(by) for by in counter.restart.shown_by)


def _goes_with(subject: Subject, clock: str, counter: Counter) -> bool:
    """Whether a clock shows the day of production: not a date that is months ahead, nor fixed.

    A day some days ahead changes with the day of production; one moved to a month's end does not.
    """
    if counter.restart.of == "shift":
        return True
    chain = chain_of(subject, clock)
    moved = any(isinstance(step, MoveTo) for each in chain for step in each.steps)
    return chain[0].fixed is None and not moved


def _prints(subject: Subject, kind: type) -> bool:
    return any(isinstance(field.source, kind) for field in subject.plan.fields)

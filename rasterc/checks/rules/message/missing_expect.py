"""A message with clocks and no example."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.rules.message.examples import WITH
from rasterc.diagnostics import Severity
from rasterc.source.quoting import quoted

_EXPECT = 'expect at 2027-11-25 14:05 { "LOT 27329" }'


class MissingExpect(Rule):
    """A message with clocks and no example."""

    id = "missing-expect"
    title = "A message with a date carries no example"
    severity = Severity.NOTE
    rationale = (
        "An `expect` worked out by hand, at a leap day or the turn of a year, is the one check of "
        "a date pattern that does not depend on the pattern itself."
    )
    source = "common practice, no source"
    trips = Example(WITH.format(contract="").replace(_EXPECT, ""))
    passes = Example(WITH.format(contract=""))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note when a printed clock is read and no example is given."""
        if subject.plan.clocks_read() and not subject.message.expects:
            yield self.finding(
                subject,
                "no example says what is printed at a given time",
                subject.message.span,
                f"work one out by hand and add it: {_example(subject)}, if that is right",
            )


def _example(subject: Subject) -> str:
    """An ``expect`` of the subject's print, as it can be written into the message."""
    given = subject.resolved.instant
    when = subject.when
    assert when is not None
    moment = when.isoformat(" ", "seconds" if when.second else "minutes")
    conditions = [f"at {moment[:-6]} {moment[-6:]}"]
    conditions += [f"{name} {value}" for name, value in given.counters.items()]
    conditions += [f"{name} {quoted(text)}" for name, text in given.inputs.items()]
    lines = " ".join(quoted(line) for line in subject.resolved.lines)
    return f"expect {', '.join(conditions)} {{ {lines} }}"

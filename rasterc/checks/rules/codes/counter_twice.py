"""Does every number of a line say something of its own?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.tokens import printed_lines
from rasterc.diagnostics import Severity
from rasterc.values.fields.kinds import CounterText

_NO = "counter case from 1 to 99999\ncounter drum from 1 to 99\n"


_NO += 'block {{ line: "NO " case(00000) " " {} }}\n'


class CounterTwice(Rule):
    """One counter printed twice on a line."""

    id = "counter-twice"
    title = "One counter is printed twice on a line"
    severity = Severity.WARNING
    rationale = (
        "The second number was most likely meant to be another counter: both always show the same."
    )
    source = "common practice, no source"
    trips = example(_NO.replace("counter drum from 1 to 99\n", "").format("case(00000)"))
    passes = example(_NO.format("drum(00)"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every whole counter that stands on a line again."""
        for line in printed_lines(subject):
            seen: set[str] = set()
            for token in line.tokens:
                field = token.field
                if field is None or not isinstance(field.source, CounterText) or field.options:
                    continue
                if field.name in seen:
                    yield self.finding(
                        subject, f"counter {field.name} stands on this line twice", field.span,
                        "print another counter here, or nothing",
                    )  # fmt: skip
                seen.add(field.name)

"""Every `expect` of the message."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.rules.message.examples import WITH
from rasterc.diagnostics import InputError
from rasterc.source.message import Expect
from rasterc.values import evaluate_expect


class ExpectRule(Rule):
    """Every `expect` of the message."""

    id = "expect"
    title = "An example in the message does not hold"
    can_be_silenced = False
    rationale = (
        "`expect` states what must be printed at a chosen instant, worked out by hand or taken "
        "from the specification. It catches a wrong pattern before the line does."
    )
    source = "the message itself"
    trips = Example(WITH.format(contract='expect at 2028-02-29 05:59 { "LOT 28061" }'))
    passes = Example(WITH.format(contract='expect at 2028-02-29 05:59 { "LOT 28060" }'))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every expected line that reads differently."""
        for expect in subject.message.expects:
            try:
                resolved = evaluate_expect(subject.plan, expect)
            except InputError as error:
                for fault in error.diagnostics:
                    yield self.finding(
                        subject, fault.message, fault.span or expect.span, fault.help
                    )
            else:
                yield from self._lines(subject, expect, resolved.lines)

    def _lines(
        self, subject: Subject, expect: Expect, printed: tuple[str, ...]
    ) -> Iterator[Finding]:
        for wanted, got in zip_longest(expect.lines, printed):
            if wanted is None:
                yield self.finding(
                    subject, f'another line is printed: "{got}"', expect.span,
                    "list every line of the message in the example",
                )  # fmt: skip
            elif got is None:
                yield self.finding(
                    subject, "no such line is printed", wanted.span, "take it out of the example"
                )
            elif wanted.text != got:
                yield self.finding(
                    subject, f'expected "{wanted.text}", but "{got}" is printed', wanted.span,
                    "correct the fields of the line, or the example",
                )  # fmt: skip

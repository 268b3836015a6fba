"""`silence` of a rule that does not exist or cannot be silenced."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.rules.message.examples import PLAIN
from rasterc.diagnostics import InputError


class BadSilence(Rule):
    """`silence` of a rule that does not exist or cannot be silenced."""

    id = "bad-silence"
    title = "A silence names no rule, or one that cannot be silenced"
    can_be_silenced = False
    rationale = (
        "A silence that names no rule silences nothing, now or later. What keeps a message from "
        "being printed, and its own `require` and `expect`, cannot be silenced: change them."
    )
    source = "the message itself"
    trips = Example(PLAIN + 'silence look-alikes because "the camera reads it" }')
    passes = Example(PLAIN + "}")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such silence."""
        from rasterc.checks.registry import find_rule

        for silence in subject.message.silences:
            try:
                rule = find_rule(silence.rule.text)
            except InputError as error:
                fault = error.diagnostics[0]
                yield self.finding(subject, fault.message, silence.rule.span, fault.help)
                continue
            if not rule.can_be_silenced:
                yield self.finding(
                    subject, f'"{rule.id}" cannot be silenced', silence.rule.span,
                    f"take the silence out and put right what {rule.id} finds",
                )  # fmt: skip

"""`silence` of a rule that finds nothing at its place."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.rules.message.examples import PLAIN
from rasterc.checks.silence import covers
from rasterc.diagnostics import Severity


class UnusedSilence(Rule):
    """`silence` of a rule that finds nothing at its place."""

    id = "unused-silence"
    title = "A silence silences nothing"
    severity = Severity.NOTE
    can_be_silenced = False
    rationale = (
        "When what was accepted is gone, its silence would hide the next mistake of the kind. "
        "Rules that need a line profile, or that stand in a set the profile does not choose, "
        "find nothing without it: their silences are left alone then."
    )
    source = "common practice, no source"
    trips = Example(PLAIN + 'silence look-alike because "the camera reads it" }')
    passes = Example(PLAIN + "}")

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note for every such silence of a rule that has what it needs to find by."""
        from rasterc.checks.registry import active_rules

        rules = active_rules(subject.profile)
        for silence in subject.message.silences:
            rule = rules.get(silence.rule.text)
            if rule is None or not rule.can_be_silenced:
                continue
            if rule.needs_profile and subject.profile is None:
                continue
            if not any(covers(silence, finding) for finding in rule.check(subject)):
                yield self.finding(
                    subject,
                    f"{rule.id} finds nothing here",
                    silence.span,
                    "take the silence out",
                )

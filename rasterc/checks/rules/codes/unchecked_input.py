"""An input that may be anything."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.values.fields.kinds import InputText


class UncheckedInput(Rule):
    """An input that may be anything."""

    id = "unchecked-input"
    title = "An input may be any text"
    severity = Severity.NOTE
    rationale = (
        "What is typed at job start is where most wrong codes begin. A pattern or a list of "
        "choices refuses a slip of the finger, and lets the longest code be worked out."
    )
    source = "common practice, no source"
    trips = Example(
        'message example { raster 7 font upright-7 input lot default "A1" block { line: "LOT " '
        "lot } }"
    )
    passes = Example(trips.message.replace("input lot", 'input lot matching "[A-H][0-9]",'))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note for every printed input without pattern, choices and length."""
        seen: set[str] = set()
        for field in subject.plan.fields:
            if not isinstance(field.source, InputText) or field.name in seen:
                continue
            seen.add(field.name)
            declared = field.source.rule.input
            if not (declared.pattern or declared.choices or declared.min_length is not None):
                yield self.finding(
                    subject,
                    f"input {declared.name} may be any text of up to "
                    f"{field.source.rule.max_length} characters",
                    declared.span,
                    f'say what it may be: input {declared.name} matching "[A-HJ-NP-Z]{{2}}[0-9]'
                    '{4}", or one of "A", "B", or length 6',
                )

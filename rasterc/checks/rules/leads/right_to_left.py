"""Does a text that is read from right to left print so?"""

from __future__ import annotations

from collections.abc import Iterator
from unicodedata import bidirectional

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.alphabets import printed_fields
from rasterc.checks.printed.tokens import printed_lines
from rasterc.diagnostics import Span
from rasterc.values.fields.kinds import InputText
from rasterc.values.fields.options import LookUp

_HEBREW = "\\u{5DC}\\u{5D7}\\u{5DD}"


class RightToLeft(Rule):
    """Hebrew, Arabic and other letters that are read from right to left."""

    id = "right-to-left"
    title = "A text that is read from right to left prints letter by letter from left to right"
    rationale = (
        "Characters are set one after another from left to right, each in the form it has alone. "
        "Hebrew comes out backwards, Arabic backwards and unjoined, and what can be read of it may "
        "be another word. Until texts are set by the bidirectional algorithm and joined, such a "
        "message must not be printed; a picture of the text can be."
    )
    source = "UAX #9, Unicode Bidirectional Algorithm; characters of class R and AL"
    trips = example(f'block {{ line: "{_HEBREW} 500 g" }}')
    passes = example('block { line: "BREAD 500 g" }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such text."""
        for text, span in _texts(subject):
            found = [char for char in text if bidirectional(char) in ("R", "AL")]
            if found:
                yield self.finding(
                    subject,
                    f'"{text.strip()}" would print its letters from left to right, unjoined',
                    span,
                    "print a picture of the text, or words of a script read from left to right",
                )


def _texts(subject: Subject) -> Iterator[tuple[str, Span]]:
    for line in printed_lines(subject):
        yield from ((token.text, token.span) for token in line.tokens if not token.coded)
    for _, field in printed_fields(subject):
        if isinstance(field.source, InputText):
            declared = field.source.rule.input
            yield " ".join((*declared.choices, declared.pattern or "")), declared.span
        for option in field.options:
            if isinstance(option, LookUp):
                yield " ".join(option.table.rows.values()), option.table.span

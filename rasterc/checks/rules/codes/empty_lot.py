"""Can a lot that is typed be empty?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import fields_introduced
from rasterc.checks.printed.leads import is_lot, is_serial
from rasterc.values.fields.kinds import InputText

_LOT = 'input lot matching "{}", default "A1234"\nblock {{ line: "LOT " lot }}'


class EmptyLot(Rule):
    """A lot or serial that lets the empty text pass."""

    id = "empty-lot"
    title = "A lot or serial number may be empty"
    reads_words = True
    rationale = (
        "The operator presses enter, and a day's production carries LOT and nothing after it. A "
        "pattern of at least one character refuses that."
    )
    source = "common practice, no source"
    trips = example(_LOT.format("[A-H0-9]{0,6}"))
    passes = example(_LOT.format("[A-H][0-9]{4}"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such input behind the words for a lot or a serial."""
        for token, words in fields_introduced(subject):
            source = token.field.source if token.field else None
            if not isinstance(source, InputText) or not (is_lot(words) or is_serial(words)):
                continue
            for text in ("", " "):
                limited = source.rule.input.pattern or source.rule.input.min_length is not None
                if limited and not source.rule.faults(text, None):
                    what = "empty" if not text else "a blank"
                    yield self.finding(
                        subject,
                        f'input {token.field.name if token.field else ""} after "{words.strip()}" '
                        f"may be {what}",
                        source.rule.input.span,
                        "ask for a character at least: a pattern such as [A-HJ-NP-Z][0-9]{4}",
                    )
                    break

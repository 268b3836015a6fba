"""Does every product get a serial number of its own?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import fields_introduced
from rasterc.checks.printed.leads import is_serial
from rasterc.values.fields.kinds import CounterText

_SN = 'counter serial from 1 to 9999999{}\nblock {{ line: "SN " serial(0000000) }}'


class SerialRepeats(Rule):
    """A counter behind the words for a serial number that prints each value several times."""

    id = "serial-repeats"
    title = "A serial number is printed on several products"
    rationale = (
        "`each 2 times` is for labels in pairs. As a serial number the value stands for one "
        "product, and the second of the pair is refused as a copy."
    )
    source = "common practice, no source"
    trips = example(_SN.format(", each 2 times"))
    passes = example(_SN.format(""))
    reads_words = True

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such counter."""
        for token, words in fields_introduced(subject):
            source = token.field.source if token.field else None
            if isinstance(source, CounterText) and source.counter.repeat > 1 and is_serial(words):
                yield self.finding(
                    subject,
                    f"counter {source.counter.name} prints each value {source.counter.repeat} "
                    f'times after "{words.strip()}"',
                    source.counter.span,
                    "leave `each` out",
                )

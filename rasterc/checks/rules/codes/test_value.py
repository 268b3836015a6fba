"""Is anything left over from a trial?"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.alphabets import printed_fields
from rasterc.checks.printed.tokens import printed_lines
from rasterc.diagnostics import Severity, Span
from rasterc.values.fields.kinds import InputText

_TRIAL = re.compile(
    r"\b(?:TEST(?:ING|TEXT|LOT)?|SAMPLE TEXT|DUMMY|TRIAL|LOREM|FOO|TODO|TBD|XXX+|YYYY?|"
    r"ABCDEFG?|ASDF|QWERTY|DD/MM/YY(?:YY)?|DD\.MM\.YY(?:YY)?)\b",
    re.IGNORECASE,
)


_NOUGHTS = re.compile(r"(0)\1{3,}|(9)\2{4,}|1234567890?")


_LOT = 'input lot matching "[A-HT][A-Z]{{3}}", default "{}"\nblock {{ line: lot }}\n'


_LOT += 'silence letters-like-digits because "an example only"'


class TestValue(Rule):
    """Words and defaults that stand in for a value while a code is set up."""

    id = "test-value"
    title = "A text is one that stands in for another while a code is set up"
    severity = Severity.WARNING
    rationale = (
        "TEST, XXXX or 00000 as the default of a lot is printed on every product whose operator "
        "gives none. The default of an input is left out where a value must be given each time."
    )
    source = "common practice, no source"
    trips = example(_LOT.format("TEST"))
    passes = example(_LOT.format("BKLM"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such literal text and default."""
        for text, span, default in _texts(subject):
            found = _TRIAL.search(text) or (_NOUGHTS.fullmatch(text) if default else None)
            if found:
                yield self.finding(
                    subject,
                    f'"{found[0]}" is printed' + (" when no value is given" if default else ""),
                    span,
                    "leave the default out, so that a value must be given"
                    if default
                    else "write what the product must carry",
                )


def _texts(subject: Subject) -> Iterator[tuple[str, Span, bool]]:
    for line in printed_lines(subject):
        yield from ((t.text, t.span, False) for t in line.tokens if t.field is None)
    seen: set[str] = set()
    for _, field in printed_fields(subject):
        if isinstance(field.source, InputText) and field.name not in seen:
            seen.add(field.name)
            declared = field.source.rule.input
            yield declared.default or "", declared.span, True

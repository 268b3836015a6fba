"""Is a date that is typed checked as one?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import fields_introduced
from rasterc.checks.printed.lead_words import KEEPING, Kind, leads_at_end
from rasterc.diagnostics import Severity
from rasterc.values.fields.kinds import InputText

_DATES = {Kind.PACKED, Kind.FROZEN, *KEEPING}


_IMPOSSIBLE = (
    *("99/99/9999", "99.99.9999", "99-99-9999", "99 99 9999", "9999-99-99", "99/99/99"),
    *("99.99.99", "99-99-99", "999999", "99999999", "00/00/0000", "32/13/2029", "31/02/2029"),
    *("31.02.2029", "2029-02-31", "31 FEB 2029", "99/9999", "99.9999", "99/2029", "13/2029"),
    *("00/2029", "99/99", "9999-99", "2029-13", "20299999", "31/06/2029", "31.06.2029"),
    *("XXX 2029", "XXX 9999", "31 XXX 2029", "99 XXX 9999", "XXX-29", "XXX29"),
    *("2029-06-31", "310229", "290231", "31022029", "20290231", "31/02/29", "31.02.29"),
)


_BEST = 'input until matching "{}", default "01/2029"\nblock {{ line: "EXP " until }}'


class TypedDate(Rule):
    """An input behind the words for a date whose pattern lets impossible dates pass."""

    id = "typed-date"
    title = "A typed date may be one that no calendar has"
    severity = Severity.WARNING
    reads_words = True
    rationale = (
        "A pattern of digits takes 31/02/2029 and 99/99/9999 as well. A date that is counted from "
        "the clock cannot be mistyped; where it must be typed, a pattern refuses most slips: "
        "(0[1-9]|1[0-2]) for a month. No pattern knows that June has thirty days, so a typed day "
        "is found too."
    )
    source = "common practice, no source"
    trips = example(_BEST.format("[0-9]{2}/20[0-9]{2}"))
    passes = example(_BEST.format("(0[1-9]|1[0-2])/20[0-9]{2}"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such input, with a date it takes."""
        for token, words in fields_introduced(subject):
            source = token.field.source if token.field else None
            if not isinstance(source, InputText) or source.rule.input.choices:
                continue
            if not any(lead.kind in _DATES for lead in leads_at_end(words)):
                continue
            shown = next((t for t in _IMPOSSIBLE if not source.rule.faults(t, None)), None)
            if shown is not None:
                yield self.finding(
                    subject,
                    f'"{shown}" may be typed after "{words.strip()}"',
                    source.rule.input.span,
                    "count the date from a clock, packed + 60 days say; or narrow the pattern",
                )

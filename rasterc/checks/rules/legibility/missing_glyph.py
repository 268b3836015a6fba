"""Characters the line's font does not carry, at this instant and through the year."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import FAULTS, Example, Finding, Rule, Subject
from rasterc.diagnostics import Diagnostic


class MissingGlyph(Rule):
    """Characters the line's font does not carry, at this instant and through the year."""

    id = "missing-glyph"
    title = "The font does not carry a character"
    can_be_silenced = False
    rationale = (
        "A character without a glyph would print as nothing, and a code would say less. An accent "
        "may come up in one month only (août), so moments of a whole year are looked at."
    )
    source = "common practice, no source"
    trips = Example('message example { raster 5  font upright-5  block { line: "größe" } }')
    passes = Example('message example { raster 7  font upright-7  block { line: "größe" } }')

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (FAULTS,)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every character that cannot be printed at some time of the year."""
        now = set(subject.faults)
        for other in subject.year.prints:
            for fault in dict.fromkeys(other.faults):
                if fault not in now:
                    now.add(fault)
                    yield from self._report(other, fault)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every character the layout could not print."""
        for fault in subject.faults:
            yield from self._report(subject, fault)

    def _report(self, subject: Subject, fault: Diagnostic) -> Iterator[Finding]:
        if fault.code == self.id:
            yield self.finding(subject, fault.message, fault.span, fault.help)

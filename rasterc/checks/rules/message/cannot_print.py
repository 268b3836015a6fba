"""Moments of a year at which the message has no text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from rasterc.checks.model import FAULTS, Example, Finding, Rule, Subject
from rasterc.diagnostics import Diagnostic


class CannotPrint(Rule):
    """Moments of a year at which the message has no text."""

    id = "cannot-print"
    title = "At some time of the year the message cannot be printed"
    can_be_silenced = False
    rationale = (
        "A table without a row for December works until the 1st of December, and stops the line "
        "then. Moments of a whole year are tried, every month, weekday and hour among them."
    )
    source = "the message itself"
    trips = Example(
        'message example { raster 7 font upright-7 clock packed in "Europe/Dublin" '
        'table month from 1, letters "ABCDEFGHJKL" block { line: "L" packed(yyyy) '
        'packed(M, table month) } expect at 2027-11-25 14:05 { "L2027L" } }'
    )
    passes = Example(trips.message.replace("HJKL", "HJKLM"))

    def proof(self, subject: Subject) -> tuple[str, ...] | None:
        """Known of all values by their extremes."""
        del subject
        return (FAULTS,)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for each way in which it fails, with the first moment."""
        seen: set[tuple[str, str]] = set()
        for at, fault in subject.year.failures:
            if (fault.code, fault.message) not in seen:
                seen.add((fault.code, fault.message))
                yield self.fails(subject, fault, at)

    def fails(self, subject: Subject, fault: Diagnostic, at: str) -> Finding:
        """The finding for a moment at which the message has no text."""
        help = fault.help or "change the field, or what it reads"
        return replace(self.finding(subject, fault.message, fault.span, help), at=at)

"""Does a date stand together?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, Mark, marks
from rasterc.diagnostics import Severity


class DateSplit(Rule):
    """Parts of one date on upright and on turned lines."""

    id = "date-split"
    title = "A date is split between an upright and a turned line"
    severity = Severity.WARNING
    rationale = (
        "A reader who turns the pack for the year does not find it beside its day. Day, month and "
        "year of one date stand on lines that are read in one direction."
    )
    source = "common practice, no source"
    trips = example(
        'clock packed in "UTC"\nblock { line font upright-7: packed(dd MMM, upper) }\n'
        "block { line font upright-7 tower: packed(yyyy) }"
    )
    passes = example('clock packed in "UTC"\nblock { line: packed(dd MMM yyyy, upper) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every part on a turned line that an upright date lacks."""
        printed = marks(subject)
        for mark in printed:
            if not mark.line.tower:
                continue
            for other in printed:
                if other.clock == mark.clock and not other.line.tower and _lacks(other, mark):
                    yield self.finding(
                        subject,
                        f'"{mark.text}" belongs to "{other.text}", and stands on a turned line',
                        mark.span,
                        "print day, month and year on one line",
                    )
                    break


def _lacks(upright: Mark, turned: Mark) -> bool:
    """Whether a date with its month lacks a part that the turned one has."""
    parts = [letters for letters in ("yY", MONTHS, "d") if turned.has(letters)]
    return upright.has("dM") and any(not upright.has(letters) for letters in parts)

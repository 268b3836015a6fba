"""Is a date read from one clock in all its parts?"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.dates import MONTHS, Mark, marks
from rasterc.checks.printed.lead_words import Kind
from rasterc.checks.printed.written import month_named

_YEAR_AFTER = re.compile(r"^[ ./-]{0,2}(20\d{2})(?!\d)")


_SHORT_YEAR_AFTER = re.compile(r"^[./-]([2-9]\d)(?![\d./-])")


_YEAR_BEFORE = re.compile(r"(?<!\d)(20\d{2})[ ./-]{0,2}$")


_CENTURY = re.compile(r"(?<![\d.])(1\d)$")


_SHORT_YEAR_GLUED = re.compile(r"(?<![\d.])(?:20)?([2-9]\d)$")


_DAY_BEFORE = re.compile(
    r"(?<![\d./-])([1-9]|0[1-9]|[12]\d|3[01])(?:st|nd|rd|th)?[ ./-]{1,2}$", re.I
)


_MONTH_AFTER = re.compile(r"^[ ./-]{0,2}([^\W\d_]{3,12})\.?[ ./-]{0,2}")


_BEST = 'clock packed in "UTC"\nclock best = packed + 60 days\n'


class WrittenDatePart(Rule):
    """A year, month or day written by hand beside parts of a date that move."""

    id = "written-date-part"
    title = "A part of a date is written by hand, and the others move on"
    rationale = (
        "BEST BEFORE 24 JAN with 2028 written after it is right until the clock reaches the next "
        "January, and then a year short. Years, months and days beside the fields of a date are "
        "looked for, in all shipped languages."
    )
    source = "common practice, no source"
    trips = example(_BEST + 'block { line: "BEST BEFORE " best(dd MMM, upper) " 2028" }')
    passes = example(_BEST + 'block { line: "BEST BEFORE " best(dd MMM yyyy, upper) }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such part."""
        for mark in marks(subject):
            found = _year(mark) or _month(mark) or _day(mark)
            if found:
                yield self.finding(
                    subject,
                    f'"{found}" beside "{mark.text}" is written by hand or of another clock, and '
                    "does not move on with the date",
                    mark.span,
                    f"print it from the clock too: {mark.clock}(dd MMM yyyy)",
                )


def _year(mark: Mark) -> str:
    year = mark.part("yY")
    if year is not None and year is mark.parts[0] and len(year.text) == 2:
        match = _CENTURY.search(mark.since)
        return match[1] if match else ""
    if mark.has("yY") or mark.has("HhKkms"):
        return ""
    if mark.has("d") and mark.has(MONTHS):
        match = _YEAR_AFTER.search(mark.after) or _SHORT_YEAR_AFTER.search(mark.after)
        return match[1] if match else ""
    if mark.has("D") and Kind.ITEM not in mark.kinds:
        match = _SHORT_YEAR_GLUED.search(mark.since) or _YEAR_BEFORE.search(mark.since)
        return match[1] if match else ""
    return ""


def _month(mark: Mark) -> str:
    """The name of a month after a day, or before a year that stands alone."""
    if mark.letters in ("y", "Y"):
        words = mark.since.split()
        return words[-1] if words and month_named(words[-1]) else ""
    if not mark.has("d") or mark.has((*MONTHS, "D", "w")):
        return ""
    match = _MONTH_AFTER.search(mark.after)
    return match[1] if match and month_named(match[1]) else ""


def _day(mark: Mark) -> str:
    """A day before a month and year."""
    month = mark.part(MONTHS)
    if month is None or mark.has("dDw") or not mark.has("yY") or mark.parts[0] is not month:
        return ""
    match = _DAY_BEFORE.search(mark.since)
    return match[1] if match and not mark.since.endswith(")") else ""

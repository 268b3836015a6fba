"""Dates of elements (11) to (17)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.elements import Element, elements
from rasterc.checks.rules.elements.sources import GS1
from rasterc.profile.model import RuleSet

DATES = {
    "11": "production", "12": "due", "13": "packing", "15": "best before", "16": "sell by",
    "17": "expiry", "7003": "expiry", "7006": "first freezing", "7007": "harvest",
    "8008": "production",
}  # fmt: skip


_FORMS = {
    "7003": ("yyMMddHHmm",), "7007": ("yyMMdd", "yyMMddyyMMdd"),
    "8008": ("yyMMddHH", "yyMMddHHmm", "yyMMddHHmmss"),
}  # fmt: skip


_DAY_00 = frozenset(("11", "12", "13", "15", "16", "17"))
"""Elements whose day may be 00, the last of the month; from the syntax dictionary of GS1."""


class Gs1Date(Rule):
    """Dates of elements (11) to (17)."""

    id = "gs1-date"
    title = "A date of a GS1 element is not YYMMDD"
    rule_set = RuleSet.GS1
    rationale = (
        "Readers take the six digits after (17), (15) or (11) as year, month and day. Day 00 "
        "stands for the last day of the month in (11) to (17), but not in (7003), (7006), (7007) "
        "and (8008), and since 2025 not on regulated healthcare items (eu-medicine). Anything else "
        "is another date to the reader, or none."
    )
    source = (
        "GS1 barcode syntax dictionary, linters yymmd0 and yymmdd; GS1 UK and GS1 Sweden on the "
        "date format of regulated healthcare products (GSCN 21-040)"
    )
    trips = Example(
        'message example { raster 7 font upright-7 clock made in "Europe/Dublin" '
        'clock expiry = made + 24 months to month end block { line: "(17)" expiry(ddMMyy) } '
        'expect at 2027-11-25 14:05 { "(17)301129" } }',
        GS1,
    )
    passes = Example(trips.message.replace("ddMMyy", "yyMMdd").replace("301129", "291130"), GS1)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such element of another form."""
        patterns = {mark.parts[0].span: mark.pattern for mark in marks(subject)}
        for element in elements(subject):
            meaning = DATES.get(element.identifier)
            if meaning is None:
                continue
            pattern = patterns.get(element.span)
            if not _is_wanted(element, pattern, _must_have_day(subject, element)):
                yield self.finding(
                    subject,
                    f'the {meaning} date after ({element.identifier}) prints "{element.data}"'
                    + (f" ({pattern})" if pattern else ""),
                    element.span,
                    _remedy(subject, element),
                )


def _must_have_day(subject: Subject, element: Element) -> bool:
    healthcare = subject.profile is not None and RuleSet.EU_MEDICINE in subject.profile.rules
    return healthcare or element.identifier not in _DAY_00


def _is_wanted(element: Element, pattern: str | None, has_day: bool) -> bool:
    """Whether the data are a date of the element's form."""
    forms: tuple[str, ...] = _FORMS.get(element.identifier, ("yyMMdd",))
    lengths, data = {len(form) for form in forms}, element.data
    if len(data) not in lengths or not (data.isascii() and data.isdigit()):
        return False
    allowed = (None, *forms) if has_day else (None, *forms, "yyMM")
    return pattern in allowed and _is_date(data[:6], has_day)


def _remedy(subject: Subject, element: Element) -> str:
    form = _FORMS.get(element.identifier, ("yyMMdd",))[0]
    if _must_have_day(subject, element):
        return f"print a clock as {form} without signs, with a real day"
    return 'print a clock as yyMMdd without signs, or yyMM and "00" for the month\'s end'


def _is_date(data: str, has_day: bool) -> bool:
    """Six digits that are year, month and day; day 00 is the month's end where that may be."""
    if has_day and data[4:] == "00":
        return False
    try:
        date(2000 + int(data[:2]), int(data[2:4]), int(data[4:]) or 1)
    except ValueError:
        return False
    return True

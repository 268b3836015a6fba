"""Are the elements of a GS1 code of their prescribed form? (rule set gs1)"""

from __future__ import annotations

import string
from collections.abc import Iterator
from datetime import date

from rasterc.checks.model import Example, Finding, Rule, Subject, example_profile
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.elements import Element, elements
from rasterc.profile.model import RuleSet
from rasterc.values.given.check_characters import gs1_mod10

_GS1 = example_profile(RuleSet.GS1)
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
TEXTS = {"10": "batch or lot", "21": "serial number"}
CHECKED = {"00": 18, "01": 14, "02": 14}
MAX_TEXT = 20
CHARACTERS_82 = "!\"%&'()*+,-./" + string.digits + ":;<=>?" + string.ascii_letters + "_"
"""The characters of (10) and (21), of which there are 82: linter cset82 of the dictionary."""


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
        _GS1,
    )
    passes = Example(trips.message.replace("ddMMyy", "yyMMdd").replace("301129", "291130"), _GS1)

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


class Gs1Text(Rule):
    """Batches and serial numbers, elements (10) and (21)."""

    id = "gs1-text"
    title = "A batch or serial of a GS1 element is too long or has foreign characters"
    rule_set = RuleSet.GS1
    rationale = (
        "(10) and (21) hold 1 to 20 characters of a set of 82: letters, digits and some signs, no "
        "blank. What inputs and counters can print in all is looked at."
    )
    source = "GS1 barcode syntax dictionary, AI (10) and (21): X..20, linter cset82"
    trips = Example(
        'message example { raster 7 font upright-7 input lot matching "[ACEFH0-9 ]{6,24}", '
        'default "A1C2E3" block { line: "(10)" lot } }',
        _GS1,
    )
    passes = Example(trips.message.replace("[ACEFH0-9 ]{6,24}", "[ACEFH0-9]{6,20}"), _GS1)

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every element that can be too long, empty or foreign."""
        for element in elements(subject):
            if element.identifier in TEXTS:
                yield from self._length(subject, element)
                yield from self._characters(subject, element)

    def _length(self, subject: Subject, element: Element) -> Iterator[Finding]:
        what = f"the {TEXTS[element.identifier]} after ({element.identifier})"
        if element.longest > MAX_TEXT or not element.data:
            yield self.finding(
                subject,
                f"{what} can have {element.longest} characters"
                if element.data
                else f"{what} is empty",
                element.span,
                f"let it have 1 to {MAX_TEXT} characters: a pattern with {{1,{MAX_TEXT}}}, say",
                measured=element.longest,
                limit=MAX_TEXT,
                unit="characters",
            )

    def _characters(self, subject: Subject, element: Element) -> Iterator[Finding]:
        foreign = element.foreign(CHARACTERS_82)
        if foreign:
            shown = " ".join("blank" if char == " " else char for char in foreign)
            yield self.finding(
                subject,
                f"the {TEXTS[element.identifier]} after ({element.identifier}) can hold {shown}",
                element.span,
                "keep to letters, digits and ! \" % & ' ( ) * + , - . / : ; < = > ? _",
            )


class Gs1CheckDigit(Rule):
    """Length and check digit of elements (00), (01) and (02)."""

    id = "gs1-check-digit"
    title = "A GS1 key has the wrong length or check digit"
    rule_set = RuleSet.GS1
    rationale = (
        "A GTIN has 14 digits and an SSCC 18, the last of them the check digit over the others. "
        "A key with a wrong one is refused by every scanner."
    )
    source = "GS1 barcode syntax dictionary, AI (00) N18, (01) and (02) N14, linter csum"
    trips = Example(
        'message example { raster 7 font upright-7 block { line: "(01)06291041500214" } }', _GS1
    )
    passes = Example(trips.message.replace("06291041500214", "06291041500213"), _GS1)

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such key."""
        for element in elements(subject):
            length = CHECKED.get(element.identifier)
            if length is None:
                continue
            plain = element.data.isascii() and element.data.isdigit()
            if not plain or len(element.data) != length:
                yield self.finding(
                    subject,
                    f'({element.identifier}) prints "{element.data}", not {length} digits',
                    element.span,
                    f"print {length - 1} digits and their check digit: check digit = gs1-mod10 "
                    "of ...",
                )
            elif gs1_mod10(element.data[:-1]) != element.data[-1]:
                right = gs1_mod10(element.data[:-1])
                yield self.finding(
                    subject,
                    f"({element.identifier}) ends in {element.data[-1]}; the check digit of "
                    f"{element.data[:-1]} is {right}",
                    element.span,
                    f"print {right}, or let it be worked out: check digit = gs1-mod10 of ...",
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

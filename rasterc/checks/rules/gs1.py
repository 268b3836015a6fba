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
_SPECIFICATIONS = "GS1 General Specifications"
DATES = {"11": "production", "12": "due", "13": "packing", "15": "best before", "16": "sell by",
         "17": "expiry"}  # fmt: skip
TEXTS = {"10": "batch or lot", "21": "serial number"}
CHECKED = {"00": 18, "01": 14, "02": 14}
MAX_TEXT = 20
CHARACTERS_82 = "!\"%&'()*+,-./" + string.digits + ":;<=>?" + string.ascii_letters + "_"
"""The characters of (10) and (21), of which there are 82; from memory."""


class Gs1Date(Rule):
    """Dates of elements (11) to (17)."""

    id = "gs1-date"
    title = "A date of a GS1 element is not YYMMDD"
    rule_set = RuleSet.GS1
    rationale = (
        "Readers take the six digits after (17), (15) or (11) as year, month and day. Day 00 "
        "stands for the last day of the month. Anything else is another date to the reader, or "
        "none."
    )
    source = f"{_SPECIFICATIONS}, AI (11) to (17): YYMMDD; from memory"
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
            if element.identifier not in DATES:
                continue
            pattern = patterns.get(element.span)
            if pattern not in (None, "yyMMdd", "yyMM") or not _is_date(element.data):
                meaning = DATES[element.identifier]
                yield self.finding(
                    subject,
                    f'the {meaning} date after ({element.identifier}) prints "{element.data}"'
                    + (f" ({pattern})" if pattern else ""),
                    element.span,
                    'print a clock as yyMMdd without signs, or yyMM and "00" for the month\'s end',
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
    source = f"{_SPECIFICATIONS}, AI (10) and (21): X..20, character set 82; from memory"
    trips = Example(
        'message example { raster 7 font upright-7 input lot matching "[A-H0-9 ]{6,24}", '
        'default "A1B2C3" block { line: "(10)" lot } }',
        _GS1,
    )
    passes = Example(trips.message.replace("[A-H0-9 ]{6,24}", "[A-H0-9]{6,20}"), _GS1)

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
    source = f"{_SPECIFICATIONS}, AI (00), (01), (02), check digit calculation; from memory"
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


def _is_date(data: str) -> bool:
    """Six digits that are year, month and day; day 00 is the month's end."""
    if len(data) != 6 or not (data.isascii() and data.isdigit()):
        return False
    try:
        date(2000 + int(data[:2]), int(data[2:4]), int(data[4:]) or 1)
    except ValueError:
        return False
    return True

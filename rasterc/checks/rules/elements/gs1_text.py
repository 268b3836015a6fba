"""Batches and serial numbers, elements (10) and (21)."""

from __future__ import annotations

import string
from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.elements import Element, elements
from rasterc.checks.rules.elements.sources import GS1
from rasterc.profile.model import RuleSet

TEXTS = {"10": "batch or lot", "21": "serial number"}


MAX_TEXT = 20


CHARACTERS_82 = "!\"%&'()*+,-./" + string.digits + ":;<=>?" + string.ascii_letters + "_"
"""The characters of (10) and (21), of which there are 82: linter cset82 of the dictionary."""


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
        GS1,
    )
    passes = Example(trips.message.replace("[ACEFH0-9 ]{6,24}", "[ACEFH0-9]{6,20}"), GS1)

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

"""Length and check digit of elements (00), (01) and (02)."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.elements import elements
from rasterc.checks.rules.elements.sources import GS1
from rasterc.profile.model import RuleSet
from rasterc.values.given.check_characters import gs1_mod10

CHECKED = {"00": 18, "01": 14, "02": 14}


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
        'message example { raster 7 font upright-7 block { line: "(01)06291041500214" } }', GS1
    )
    passes = Example(trips.message.replace("06291041500214", "06291041500213"), GS1)

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

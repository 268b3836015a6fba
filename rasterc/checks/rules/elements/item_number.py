"""Is the number of an item one that can be scanned?"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.lead_words import Kind, leads_at_end
from rasterc.checks.printed.tokens import printed_lines
from rasterc.values.given.check_characters import gs1_mod10

_DIGITS = re.compile(r"(?<![\d.])\d(?:[ ]?\d){6,17}(?!\d)")


_MIXED = re.compile(r"(?<![\w.])(?=[\dOIL]*[OIL])[\dOIL]{8,14}(?![\w])")


_LENGTHS = (8, 12, 13, 14)


class ItemNumber(Rule):
    """Check digits behind PC, GTIN, EAN and NTIN."""

    id = "item-number"
    title = "The number of an item has a wrong length or check digit"
    rationale = (
        "A trade item number has 8, 12, 13 or 14 digits, the last of them the check digit over the "
        "others, wherever it is printed: behind PC, GTIN, EAN, UPC or NTIN as behind (01). Blanks "
        "that part its digits are left out."
    )
    source = "GS1 General Specifications, check digit calculation for GTIN-8, -12, -13 and -14"
    trips = example('block { line: "PC: 06291041500214" }')
    passes = example('block { line: "PC: 06291041500213" }')

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every number in which a letter stands for a digit."""
        for line in printed_lines(subject):
            for match in _MIXED.finditer(line.words):
                leads = leads_at_end(line.words[: match.start()])
                if any(lead.kind is Kind.ITEM for lead in leads):
                    yield self.finding(
                        subject, f'"{match[0]}" has a letter among its digits', line.line.span,
                        "type the digits again: 0 for O, 1 for I and L",
                    )  # fmt: skip

    def of_print(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such number."""
        for line in printed_lines(subject):
            text = line.words
            for match in _DIGITS.finditer(text):
                before = text[: match.start()]
                if not any(lead.kind is Kind.ITEM for lead in leads_at_end(before)):
                    continue
                number = match[0].replace(" ", "")
                if before.rstrip().endswith(")"):
                    continue  # gs1-check-digit
                if len(number) not in _LENGTHS:
                    said = f'"{number}" has {len(number)} digits, not 8, 12, 13 or 14'
                elif (right := gs1_mod10(number[:-1])) != number[-1]:
                    said = f'"{number}" ends in {number[-1]}; its check digit is {right}'
                else:
                    continue
                yield self.finding(
                    subject, said, line.line.span,
                    "take the number from the item's record, or let the digit be worked out: "
                    "check digit = gs1-mod10 of ...",
                )  # fmt: skip

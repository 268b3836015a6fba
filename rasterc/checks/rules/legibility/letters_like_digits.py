"""O and I among letters that are chosen freely."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.alphabets import alphabets
from rasterc.diagnostics import Severity


class LettersLikeDigits(Rule):
    """O and I among letters that are chosen freely."""

    id = "letters-like-digits"
    title = "An alphabet of a code holds O or I"
    severity = Severity.WARNING
    rationale = (
        "O is read as 0 and I as 1, by people over the telephone and by cameras. Codes whose "
        "letters are chosen freely leave both out."
    )
    source = (
        "33 CFR 174.23(b): I, O and Q are left out of the letters of a number, as they may be "
        "mistaken for numerals; ISMP Medication Safety Alert, 12 January 2000: O/0 and I/1 with "
        "Z/2 and 1/7 are over half of the characters misidentified"
    )
    trips = Example(
        'message example { raster 7 font upright-7 input lot matching "[A-Z]{2}[0-9]{4}", '
        'default "QK0417" block { line: "LOT " lot } }'
    )
    passes = Example(trips.message.replace("[A-Z]", "[A-HJ-NP-Z]"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every alphabet of letters that holds one of them."""
        for alphabet in alphabets(subject):
            found = [char for char in "OI" if char in alphabet.characters]
            if found and alphabet.chosen:
                without = alphabet.without("OI")
                yield self.finding(
                    subject,
                    f"{alphabet.what} can print {' and '.join(found)}, which are read as "
                    f"{' and '.join('0' if char == 'O' else '1' for char in found)}",
                    alphabet.span,
                    f"leave {'them' if len(found) > 1 else 'it'} out: {without}",
                )

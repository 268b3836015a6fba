"""Can letters and digits that look alike stand at one place of a code?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.alphabets import Alphabet, alphabets
from rasterc.diagnostics import Severity

PAIRS = ("Z2", "Q0", "S5", "B8", "G6", "D0")
"""Letter and digit that published lists name; of O and I, which all of them name,
`letters-like-digits` speaks."""


_LOT = 'input lot matching "{}", default "7A7A7A"\nblock {{ line: "LOT " lot }}'


class DigitsBesideLetters(Rule):
    """Letters and digits that are taken for one another, at one place of a code."""

    id = "digits-beside-letters"
    title = "Letters and digits that look alike can stand at one place"
    severity = Severity.NOTE
    rationale = (
        "Where a place can hold a letter or a digit, nothing but its shape tells 2 from Z. Codes "
        "that are read aloud or typed leave out the letters of such pairs, or give letters and "
        "digits places of their own."
    )
    source = (
        "Z/2: ISMP Medication Safety Alert, 12 January 2000 (with O/0, I/1 and 1/7 over half of "
        "the characters misidentified); Q: 33 CFR 174.23(b), left out with I and O as they may be "
        "mistaken for numerals; all six: C. Y. Suen (2019) on number plates, abstract"
    )
    trips = example(_LOT.format("[0-9A-HJ-NP-Z]{6}"))
    passes = example(_LOT.format("[0-9ACEFHJ-NPRT-Y]{6}"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a note for every alphabet that holds such pairs."""
        for alphabet in alphabets(subject):
            if alphabet.chosen and (found := held(alphabet.characters)):
                yield self._report(subject, alphabet, found)

    def _report(self, subject: Subject, alphabet: Alphabet, found: list[str]) -> Finding:
        listed = ", ".join(" and ".join(pair) for pair in found)
        without = alphabet.without("".join(pair[0] for pair in found))
        return self.finding(
            subject,
            f"{alphabet.what} can print {listed} at one place",
            alphabet.span,
            f"leave the letters out: {without}",
            measured=len(found),
            limit=0,
        )


def held(characters: str) -> list[str]:
    """The pairs of which an alphabet holds both.

    >>> held("0123456789ABCDEF"), held("BGQS"), held("2Z")
    (['B8', 'D0'], [], ['Z2'])
    """
    return [pair for pair in PAIRS if set(pair) <= set(characters)]

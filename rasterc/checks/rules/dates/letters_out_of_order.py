"""Do the letters of a table stand in the order they were meant to?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from rasterc.checks.examples import example
from rasterc.checks.model import Finding, Rule, Subject
from rasterc.checks.printed.alphabets import alphabets
from rasterc.diagnostics import Severity

_ENOUGH = 6  # rows of which all but two stand in order


_TABLE = 'clock packed in "UTC"\ntable month from 1, letters "{}"\n'


_TABLE += 'block {{ line: "LOT " packed(yy) packed(M, table month) packed(dd) }}'


class LettersOutOfOrder(Rule):
    """A table of letters in order, but for two neighbours that are changed over."""

    id = "letters-out-of-order"
    title = "Two letters of a table in order are changed over"
    severity = Severity.WARNING
    rationale = (
        "ABDC for the first four months makes every lot of March one of April to those who read "
        "the code by heart. A table whose letters are in no order at all is left alone."
    )
    source = "common practice, no source"
    trips = example(_TABLE.format("ABDCEFGHJKLM"))
    passes = example(_TABLE.format("ABCDEFGHJKLM"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such table."""
        for alphabet in alphabets(subject):
            swapped = _swapped(alphabet.rows)
            if swapped:
                yield self.finding(
                    subject,
                    f"{alphabet.what} has {swapped} where the order is {swapped[::-1]}",
                    alphabet.span,
                    "put them in order",
                )


def _swapped(rows: Sequence[str]) -> str:
    """The two neighbours that break an order, "" where there are none, or more.

    >>> _swapped("ABDCEFG"), _swapped("ABCDEFG"), _swapped("KRTVWXYZPN")
    ('DC', '', '')
    """
    falls = [at for at, (one, other) in enumerate(pairwise(rows)) if one > other]
    if len(rows) < _ENOUGH or len(falls) != 1:
        return ""
    at = falls[0]
    mended = [*rows[:at], rows[at + 1], rows[at], *rows[at + 2 :]]
    return f"{rows[at]}{rows[at + 1]}" if mended == sorted(rows) else ""

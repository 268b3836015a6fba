"""How many texts there are."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10

MANY = 10**15
"""Counts from here on are told by their size alone."""


@dataclass(frozen=True, slots=True)
class Count:
    """How many; ``exact`` is False when it is only known to be no more."""

    number: int
    exact: bool = True

    @property
    def said(self) -> str:
        """In words: "42", "at most 1,024", "about 10^98"."""
        how = "" if self.exact else "at most "
        if self.number < MANY:
            return f"{how}{self.number:,}"
        return f"{how}about 10^{log10(self.number):.0f}"

    def times(self, other: Count) -> Count:
        """The number of pairs."""
        return Count(self.number * other.number, self.exact and other.exact)

"""The records of what a verdict covers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from rasterc.domain.count import Count


class How(StrEnum):
    """How far a verdict reaches."""

    PROVED = "proved"
    LOOKED_AT = "looked-at"
    NOT_CHECKED = "not-checked"


@dataclass(frozen=True, slots=True)
class Covered:
    """A rule, or with ``limit`` one `require`, and how far its verdict reaches."""

    rule: str
    how: How
    limit: str = ""


@dataclass(frozen=True, slots=True)
class Coverage:
    """What the verdicts on a message cover.

    Attributes:
        rules: every rule that was asked, and every limit.
        prints: how many prints were looked at; 1 for a check of one instant.
        strings: how many distinct strings were covered; None at one instant, and where it is not
            known.
    """

    rules: tuple[Covered, ...]
    prints: int
    strings: Count | None = None

    def number(self, how: How) -> int:
        """How many rules and limits are covered so."""
        return sum(one.how is how for one in self.rules)

    @property
    def said(self) -> str:
        """In a line."""
        parts = [self._proved(), self._looked_at()]
        if unasked := self.number(How.NOT_CHECKED):
            parts.append(f"{unasked} need a line profile")
        return ", ".join(filter(None, parts))

    def _proved(self) -> str:
        number = self.number(How.PROVED)
        if self.prints == 1 and self.strings is None:
            return f"this instant only: {number} rules read the message"
        over = f" over {self.strings.said} strings" if self.strings else ""
        return f"{number} rules proved{over}"

    def _looked_at(self) -> str:
        number = self.number(How.LOOKED_AT)
        if not number:
            return ""
        if self.prints == 1 and self.strings is None:
            return f"{number} looked at one print; --all holds them at every value"
        return f"{number} looked at in {self.prints:,} prints"

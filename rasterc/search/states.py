"""What is known of a message on its line."""

from __future__ import annotations

from enum import StrEnum


class State(StrEnum):
    """What is known of a message on its line, the worst first."""

    BROKEN = "broken"  # it cannot be read, or not be printed
    ERRORS = "errors"
    WARNINGS = "warnings"
    NOTES = "notes"
    GOOD = "good"
    NOT_LOOKED_AT = "not-looked-at"

    @property
    def said(self) -> str:
        """In words."""
        return self.value.replace("-", " ")

"""Which findings fail, and which are shown."""

from __future__ import annotations

from enum import StrEnum

from rasterc.diagnostics import Severity

_ORDER = tuple(Severity)


class FailOn(StrEnum):
    """The mildest finding that makes a check fail."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"
    NEVER = "never"

    @property
    def severities(self) -> tuple[Severity, ...]:
        """What fails."""
        return () if self is FailOn.NEVER else at_least(Severity(self.value))


def at_least(severity: Severity) -> tuple[Severity, ...]:
    """A severity and those that are worse, the worst first.

    >>> [str(one) for one in at_least(Severity.WARNING)]
    ['error', 'warning']
    """
    return _ORDER[: _ORDER.index(severity) + 1]

"""What is known of a message on its line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from datetime import date
from enum import StrEnum

from msgspec import Struct

from rasterc.checks.findings import Finding
from rasterc.diagnostics import Severity
from rasterc.inspection.verdict import FAILING, Verdict
from rasterc.search.days import Day, Kind


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


class Checked(StrEnum):
    """How far a check went."""

    YEARS = "years"  # over years ahead
    ONE_PRINT = "one-print"  # at one moment only


_STATES = {
    Severity.ERROR: State.ERRORS,
    Severity.WARNING: State.WARNINGS,
    Severity.NOTE: State.NOTES,
    None: State.GOOD,
}


class Known(Struct, frozen=True):
    """What is known of a message on its line.

    Attributes:
        state: its state.
        checked: how far the check went that tells it; None when nothing was looked at.
        failing: the first day on which a check found what fails; None without any.
        found: the worst that a check found and that fails; "" without any.
    """

    state: State = State.NOT_LOOKED_AT
    checked: Checked | None = None
    failing: Day | None = None
    found: str = ""


def known_of(verdict: Verdict, checked: Checked) -> Known:
    """What a verdict tells; nothing where an input was wanting, say, and nothing was checked."""
    if verdict.broken:
        return Known()
    failing = [found for found in verdict.findings if found.severity in FAILING]
    first = min(_days(failing), key=lambda day: day.day, default=None)
    worst = _said(failing[0]) if failing else ""  # they come in this order
    return Known(_STATES[verdict.worst], checked, first, worst)


def _days(findings: Iterable[Finding]) -> Iterator[Day]:
    for found in findings:
        with suppress(ValueError):  # what was found in the message itself has no day
            day = date.fromisoformat((found.since or found.at)[:10])
            yield Day(day, Kind.FAILING, _said(found))


def _said(finding: Finding) -> str:
    return f"{finding.rule}: {finding.message}"

"""What came of holding a message against the rules, on one line.

These records bring in neither rules nor numerics: they are read back, and shown, without them.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from datetime import date, datetime

from msgspec import Struct

from rasterc.checks.covered import Coverage
from rasterc.checks.findings import Finding
from rasterc.diagnostics import Diagnostic, Severity
from rasterc.head.timing import SpeedTiming

FAILING = (Severity.ERROR, Severity.WARNING)


class Accepted(Struct, frozen=True):
    """A finding that is known and accepted.

    Attributes:
        because: the reason.
        silence: the number of the plant's silence that accepts it; None when the message does.
    """

    finding: Finding
    because: str
    silence: int | None = None


class Instants(Struct, frozen=True):
    """The instants looked at: how many, the first and the last."""

    number: int
    first: datetime
    last: datetime


class Verdict(Struct, frozen=True, kw_only=True):
    """A message on a line, and what was found.

    Attributes:
        file: the message file, as the user knows it.
        message: its name; "" when the whole file cannot be read.
        line: the line's name; None outside a plant, and in a plant without lines.
        profile: the name of the profile; None without one.
        at: the moment of the print, ISO 8601; None when no clock is read.
        said: the same for a heading.
        lines: the texts of the print.
        timing: at every speed of the profile, empty when it cannot be told.
        expects, requires: how many there are in the message.
        findings: what was found, errors first, then in the order of the source.
        silenced: what was found, and is known and accepted.
        coverage: which verdicts hold over every value, and which at the prints looked at.
        instants: the instants looked at; None when it was one print, or no clock is read.
        faults: why it cannot be checked; then all else is empty.
        start: the first day looked at.
        looked_at: when the rules were asked; None when nobody said.
        cached: it was kept from then.
    """

    file: str
    message: str
    line: str | None = None
    profile: str | None = None
    at: str | None = None
    said: str = ""
    lines: tuple[str, ...] = ()
    timing: tuple[SpeedTiming, ...] = ()
    expects: int = 0
    requires: int = 0
    findings: tuple[Finding, ...] = ()
    silenced: tuple[Accepted, ...] = ()
    coverage: Coverage = Coverage((), 1)
    instants: Instants | None = None
    faults: tuple[Diagnostic, ...] = ()
    start: date | None = None
    looked_at: datetime | None = None
    cached: bool = False

    @property
    def broken(self) -> bool:
        """Whether it cannot be checked."""
        return bool(self.faults)

    @property
    def worst(self) -> Severity | None:
        """The worst of what was found; an error when it cannot be checked."""
        if self.broken:
            return Severity.ERROR
        return next((s for s in Severity if self.count(s)), None)

    def count(self, severity: Severity) -> int:
        """How many findings are so severe."""
        return sum(found.severity is severity for found in self.findings)

    @property
    def first_failing(self) -> date | None:
        """The first day on which an error or a warning was found; None without any."""
        return min(self._failing_days(), default=None)

    def _failing_days(self) -> Iterator[date]:
        for found in self.findings:
            if found.severity in FAILING:
                day = _day(found.since or found.at) or self.start
                yield from () if day is None else (day,)


class Looked(Struct, frozen=True):
    """What came of one file, held in one way.

    Attributes:
        file: the file, as the user knows it.
        line: the line's name; None outside a plant.
        names: its messages, also those that were not meant.
        settable: their counters and inputs.
        verdicts: one for each message that was meant; one for the file when it cannot be read.
        noted: what is to be said beside them.
    """

    file: str
    line: str | None = None
    names: tuple[str, ...] = ()
    settable: frozenset[str] = frozenset()
    verdicts: tuple[Verdict, ...] = ()
    noted: tuple[Diagnostic, ...] = ()


def _day(text: str) -> date | None:
    """The day of an instant as findings tell it; None for values that are told otherwise."""
    with suppress(ValueError):
        return date.fromisoformat(text[:10])
    return None

"""What is reported of repeats."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from rasterc.extremes.model import Witness


@dataclass(frozen=True, slots=True)
class RepeatsReport:
    """How soon a text can print again.

    Attributes:
        fields: the fields looked at, empty for the whole code.
        gap: from the end of a run to the next run of the same text; None when there is none
            within the horizon, or never.
        first, last, again: when the text of an example begins to print, prints last, and prints
            again; None without a gap.
        never: why the text can never print again, empty when it is only not within the horizon.
        exact: whether the text really prints again so soon; else it does not print again sooner,
            and ``why`` says what was not looked at.
        wraps: counters that wrap, with the prints after which a number comes again.
        always: whether nothing changes with time, so that one text prints all the time.
    """

    message: str
    fields: tuple[str, ...]
    start: datetime
    end: datetime
    gap: timedelta | None
    first: Witness | None = None
    last: Witness | None = None
    again: Witness | None = None
    never: str = ""
    exact: bool = True
    why: str = ""
    wraps: tuple[tuple[str, int], ...] = ()
    always: bool = False

    def as_dict(self) -> dict[str, object]:
        """The report as plain JSON values."""
        return {
            "message": self.message,
            "fields": list(self.fields),
            "from": self.start.isoformat(),
            "until": self.end.isoformat(),
            "gap_seconds": self.gap.total_seconds() if self.gap is not None else None,
            "first": self.first.as_dict() if self.first else None,
            "last": self.last.as_dict() if self.last else None,
            "again": self.again.as_dict() if self.again else None,
            "never": self.never,
            "exact": self.exact,
            "why": self.why,
            "wraps": [{"counter": name, "prints": number} for name, number in self.wraps],
            "always": self.always,
        }

"""What is reported of repeats."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from rasterc.extremes.model import Witness
from rasterc.extremes.rounds import Round
from rasterc.extremes.runs import Repeat
from rasterc.values import Instant


class Verdict(StrEnum):
    """Whether a text can print again within some time."""

    WITHIN = "within"
    NOT_WITHIN = "not within"
    CANNOT_SAY = "cannot say"


@dataclass(frozen=True, slots=True)
class Found:
    """The closest repeat, and how sure that is.

    Attributes:
        repeat: None when none is known; with ``example`` the instants at which the text begins to
            print, prints last and prints again.
        no_sooner: when not ``exact``, minutes within which nothing prints again.
        always: one text prints all the time.
        seconds: runs last a second.
    """

    repeat: Repeat | None = None
    example: tuple[Instant, Instant, Instant] | None = None
    exact: bool = True
    no_sooner: int | None = None
    why: tuple[str, ...] = ()
    never: str = ""
    always: bool = False
    seconds: bool = False


@dataclass(frozen=True, slots=True)
class RepeatsReport:
    """How soon a text can print again.

    Attributes:
        fields: the fields looked at, empty for the whole code.
        gap: from the end of a run to the next run of the same text; None when there is none
            within the horizon, or never, or when none is known.
        first, last, again: when the text of an example begins to print, prints last, and prints
            again; None without a gap.
        never: why the text can never print again, empty when it is only not within the horizon.
        exact: whether no text prints again sooner; else ``no_sooner`` is a time before which none
            does, and ``why`` says what could not be looked at.
        rounds: counters that print the same again after some prints, whatever the time.
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
    no_sooner: timedelta | None = None
    why: str = ""
    rounds: tuple[Round, ...] = ()
    always: bool = False

    def __repr__(self) -> str:
        """The message, the fields, and the gap."""
        what = ", ".join(self.fields) or "the whole code"
        known = "exact" if self.exact else "not all looked at"
        return f"<RepeatsReport {self.message}, {what}: gap {self.gap or 'none'}, {known}>"

    def verdict(self, time: timedelta) -> Verdict:
        """Whether a text can print again within a time after it last printed."""
        if self.gap is not None and self.gap < time:
            return Verdict.WITHIN
        if self.rounds or not (self.exact or (self.no_sooner or timedelta(0)) >= time):
            return Verdict.CANNOT_SAY
        return Verdict.NOT_WITHIN

    def as_dict(self) -> dict[str, object]:
        """The report as plain JSON values."""
        return {
            "message": self.message,
            "fields": list(self.fields),
            "from": self.start.isoformat(),
            "until": self.end.isoformat(),
            "gap_seconds": _seconds(self.gap),
            "no_sooner_seconds": _seconds(self.no_sooner),
            "first": self.first.as_dict() if self.first else None,
            "last": self.last.as_dict() if self.last else None,
            "again": self.again.as_dict() if self.again else None,
            "never": self.never,
            "exact": self.exact,
            "why": self.why,
            "rounds": [each.as_dict() for each in self.rounds],
            "always": self.always,
        }


def _seconds(time: timedelta | None) -> float | None:
    return None if time is None else time.total_seconds()

"""Moments and stretches of time as the command line writes them."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from rasterc.inspection.moments import at_moment as at_moment

_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def moment_from(text: str) -> datetime:
    """A date, which is taken at 00:00, or a date and time.

    Raises:
        InputError: the text is neither.
    """
    from rasterc.api import parse_when

    written = text.strip()
    return parse_when(f"{written} 00:00" if _DATE.fullmatch(written) else text)


def period(start: datetime, until: datetime) -> str:
    """A stretch of minutes, its end not included; one moment when it is one minute long.

    >>> period(datetime(2027, 11, 25, 14, 5), datetime(2027, 11, 25, 14, 6))
    '2027-11-25 14:05'
    >>> period(datetime(2027, 11, 25, 14), datetime(2027, 11, 25, 15))
    '2027-11-25 14:00 until 15:00'
    """
    # Within one zone Python subtracts wall times: a clock change would be left out.
    if _utc(until) - _utc(start) == timedelta(minutes=1):
        return clock_time(start)
    end = clock_time(until)
    return f"{clock_time(start)} until {end[11:] if until.date() == start.date() else end}"


def _utc(moment: datetime) -> datetime:
    return moment if moment.tzinfo is None else moment.astimezone(UTC)


def clock_time(moment: datetime) -> str:
    """Date and time; with the offset when the clock shows that time twice."""
    twice = moment.replace(fold=0).utcoffset() != moment.replace(fold=1).utcoffset()
    text = moment.isoformat(" ", "minutes")
    return text if twice else text[:16]


def iso(moment: datetime | None) -> str | None:
    """A moment for JSON."""
    return None if moment is None else moment.isoformat()

"""Moments as Python programs give them."""

from __future__ import annotations

from datetime import date, datetime, time

from rasterc.diagnostics import InputError

When = datetime | date | str
"""A moment: a datetime, a date (taken at 00:00), or either as ISO 8601 text."""


def moment_of(when: When) -> datetime:
    """A moment from what a program gives; dates are taken at 00:00.

    Raises:
        InputError: it is no moment.
    """
    if isinstance(when, datetime):
        return when
    if isinstance(when, date):
        return datetime.combine(when, time())
    try:
        return moment_of(date.fromisoformat(when))
    except ValueError:
        return parse_when(when)
    except TypeError:
        help = "give a datetime, a date, or text such as '2027-11-25'"
        raise InputError.one("not-a-time", f"{when!r} is no moment", help=help) from None


def parse_when(text: str) -> datetime:
    """A moment from ISO 8601 text, with or without an offset.

    A date alone is refused: at midnight many a production day is still the day before.

    Raises:
        InputError: the text is no date and time.
    """
    written = text.strip().replace(" +", "+").replace(" Z", "Z")
    try:
        moment = datetime.fromisoformat(written)
    except ValueError:
        help = (
            'write it as "2027-11-25 14:05", with an offset if you like: "2027-11-25 14:05+01:00"'
        )
        raise InputError.one("not-a-time", f'"{text}" is not a date and time', help=help) from None
    if ":" not in written and "T" not in written:
        help = f'say the time too: "{moment.date()} 12:00"'
        raise InputError.one("not-a-time", f'"{text}" is a date without a time', help=help)
    return moment

"""Parts of many days at once, without numpy being imported. Days count from 1970-01-01 = 0."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Days = NDArray[np.int64]


def months(days: Days) -> Days:
    """Months since January 1970."""
    return days.astype("M8[D]").astype("M8[M]").astype("int64")


def month_starts(since_1970: Days) -> Days:
    """The first day of months since January 1970."""
    return since_1970.astype("M8[M]").astype("M8[D]").astype("int64")


def weekdays(days: Days) -> Days:
    """Monday = 0; 1970-01-01 was a Thursday."""
    return (days + 3) % 7


def years(days: Days) -> Days:
    """Years since 1970."""
    return months(days) // 12


def iso_thursdays(days: Days) -> Days:
    """The Thursday of each day's week, whose year the week belongs to (ISO 8601)."""
    return days - weekdays(days) + 3


def iso_week(days: Days) -> Days:
    """The week's number (ISO 8601)."""
    thursdays = iso_thursdays(days)
    return (thursdays - month_starts(years(thursdays) * 12)) // 7 + 1

"""A time zone's offsets from UTC over a stretch of time, as arrays of whole minutes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import InputError

Minutes = NDArray[np.int64]
"""Minutes since 1970-01-01 00:00, of UTC or of a wall clock."""

Flags = NDArray[np.bool_]

MINUTES_PER_DAY = 24 * 60
_MARGIN = 400 * MINUTES_PER_DAY
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MINUTE = timedelta(minutes=1)
_FIRST = (datetime(1, 1, 3, tzinfo=UTC) - _EPOCH) // _MINUTE  # room for any offset
_LAST = (datetime(9999, 12, 29, tzinfo=UTC) - _EPOCH) // _MINUTE


def minute_of(moment: datetime) -> int:
    """The minute of UTC that a moment with an offset lies in."""
    return (moment.astimezone(UTC) - _EPOCH) // _MINUTE


def moment_of(minute: int) -> datetime:
    """The moment, in UTC, at which a minute begins."""
    return _EPOCH + int(minute) * _MINUTE


def merged(*parts: Minutes) -> Minutes:
    """All minutes of the parts, sorted, each once."""
    joined = np.concatenate(parts)
    joined.sort(kind="stable")  # quick on parts that are sorted already
    keep = np.ones(len(joined), np.bool_)
    np.not_equal(joined[1:], joined[:-1], out=keep[1:])
    return joined[keep]


@dataclass(frozen=True, slots=True)
class Offsets:
    """Minutes ahead of UTC: ``ahead[0]`` before ``changes[0]``, ``ahead[k]`` from change k - 1 on.

    ``changes`` are minutes of UTC.
    """

    changes: Minutes
    ahead: Minutes

    def at(self, utc: Minutes) -> Minutes:
        """The offset at minutes of UTC."""
        return self.ahead[np.searchsorted(self.changes, utc, "right")]

    def of_wall(self, wall: Minutes, *, second: bool = False) -> Minutes:
        """The offset that wall times have.

        Of wall times that come twice it is the first, or the ``second``; of skipped ones the
        offset before the change, or with ``second`` after it (as Python's ``fold`` has it).
        """
        before, after = self.ahead[:-1], self.ahead[1:]
        pick = np.minimum if second else np.maximum
        return self.ahead[np.searchsorted(self.changes + pick(before, after), wall, "right")]

    @property
    def wall_edges(self) -> Minutes:
        """Wall times at which a skipped or repeated stretch begins or ends, sorted."""
        return merged(self.changes + self.ahead[:-1], self.changes + self.ahead[1:])

    @property
    def utc_edges(self) -> Minutes:
        """Minutes of UTC at which clocks change or a repeated stretch ends, sorted."""
        repeated = np.maximum(self.ahead[:-1] - self.ahead[1:], 0)
        return merged(self.changes, self.changes + repeated)


class ZoneBook:
    """The offsets of zones, each found out once for the stretch that has been needed."""

    def __init__(self) -> None:
        self._known: dict[str, tuple[int, int, Offsets]] = {}

    def near(self, zone: ZoneInfo, minutes: Minutes) -> Offsets:
        """The offsets of a zone around ``minutes``; raises `InputError` as `offsets_of` does."""
        first, end = int(minutes.min()), int(minutes.max())
        known = self._known.get(zone.key)
        if known is None or first < known[0] or end > known[1]:
            low, high = known[:2] if known else (first, end)
            low, high = min(low, first - _MARGIN), max(high, end + _MARGIN)
            known = self._known[zone.key] = low, high, offsets_of(zone, low, high)
        return known[2]


def offsets_of(zone: ZoneInfo, first: int, end: int) -> Offsets:
    """The offsets of a zone from two days before minute ``first`` to two days after ``end``.

    Raises:
        InputError: the zone then differed from UTC by a part of a minute.
    """
    first = max(_FIRST, first - 2 * MINUTES_PER_DAY)
    end = min(_LAST, max(end, first) + 2 * MINUTES_PER_DAY)
    changes: list[int] = []
    ahead = [_ahead(zone, first)]
    for minute in [*range(first + MINUTES_PER_DAY, end, MINUTES_PER_DAY), end]:
        offset = _ahead(zone, minute)
        if offset != ahead[-1]:
            changes.append(_change(zone, max(first, minute - MINUTES_PER_DAY), minute))
            ahead.append(offset)
    return Offsets(np.array(changes, np.int64), np.array(ahead, np.int64))


def _ahead(zone: ZoneInfo, minute: int) -> int:
    offset = moment_of(minute).astimezone(zone).utcoffset()
    assert offset is not None
    minutes, rest = divmod(offset, _MINUTE)
    if rest:
        raise InputError.one(
            "odd-offset",
            f"around {moment_of(minute):%Y} {zone.key} differed from UTC by a part of a minute",
            help="look at years from 1974 on, and use offsets that stay there",
        )
    return minutes


def _change(zone: ZoneInfo, early: int, late: int) -> int:
    """The first minute that has the offset of ``late``; ``early`` has another."""
    after = _ahead(zone, late)
    while late - early > 1:
        middle = (early + late) // 2
        if _ahead(zone, middle) == after:
            late = middle
        else:
            early = middle
    return late

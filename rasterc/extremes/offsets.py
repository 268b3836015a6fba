"""The offsets of a time zone over a stretch of time, as arrays.

Times are whole minutes since 1970-01-01 00:00 UTC; wall times are whole minutes since
1970-01-01 00:00 of the wall. Since 1973 every zone is a whole number of minutes from UTC.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from rasterc.extremes.zonefile import offsets_of

Minutes = NDArray[np.int64]
Flags = NDArray[np.bool_]

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_EPOCH_WALL = datetime(1970, 1, 1)
_MARGIN = timedelta(days=3)
_FIRST, _LAST = datetime.min.replace(tzinfo=UTC), datetime.max.replace(tzinfo=UTC)


def minutes_of(moment: datetime) -> int:
    """Whole minutes from the epoch to a moment with an offset, rounded down."""
    return (moment - EPOCH) // timedelta(minutes=1)


def moment_of(minute: int, second: int = 0) -> datetime:
    """The moment so many minutes after the epoch, in UTC."""
    return EPOCH + timedelta(minutes=minute, seconds=second)


def wall_of(minute: int, second: int = 0) -> datetime:
    """The naive wall time so many minutes after the epoch of the wall."""
    return _EPOCH_WALL + timedelta(minutes=minute, seconds=second)


@dataclass(frozen=True, slots=True)
class Offsets:
    """Offsets from UTC in minutes: ``offsets[i]`` holds from ``changes[i - 1]`` to ``changes[i]``.

    ``changes`` are UTC minutes, ascending; there is one offset more than changes.
    """

    changes: Minutes
    offsets: Minutes

    @property
    def before(self) -> Minutes:
        """Wall time of each change by the offset before it."""
        return self.changes + self.offsets[:-1]

    @property
    def after(self) -> Minutes:
        """Wall time of each change by the offset after it."""
        return self.changes + self.offsets[1:]

    @property
    def edges(self) -> Minutes:
        """UTC minutes of the changes, and of the ends of the hours that come twice; sorted."""
        repeated = np.maximum(self.before - self.after, 0)
        return np.sort(np.concatenate([self.changes, (self.changes + repeated)[repeated > 0]]))

    def at(self, utc: Minutes) -> Minutes:
        """The offset at each UTC minute."""
        return self.offsets[np.searchsorted(self.changes, utc, "right")]

    def settle(self, wall: Minutes, second: Flags) -> tuple[Minutes, Minutes]:
        """The wall times and offsets of the moments that ``wall`` stands for.

        A time the clocks skip is moved forward by the length of the gap; of one that comes twice
        it is the second where ``second`` is set: the same rule as `values.zones.settle`.
        """
        if not len(self.changes):
            return wall, np.broadcast_to(self.offsets, wall.shape)
        index = np.searchsorted(np.maximum(self.before, self.after), wall, "right")
        change = np.minimum(index, len(self.changes) - 1)
        coming = index < len(self.changes)
        forward = self.after[change] > self.before[change]
        skipped = coming & forward & (wall >= self.before[change])
        again = coming & ~forward & second & (wall >= self.after[change])
        gap = self.after[change] - self.before[change]
        return wall + np.where(skipped, gap, 0), self.offsets[index + (skipped | again)]

    def gap_ends(self, wall: Minutes) -> Minutes:
        """``wall``, but the first time after the gap where the clocks skip it."""
        if not len(self.changes):
            return wall
        change = np.minimum(np.searchsorted(self.after, wall, "right"), len(self.changes) - 1)
        skipped = (self.before[change] <= wall) & (wall < self.after[change])
        return np.where(skipped, self.after[change], wall)

    def is_second(self, wall: Minutes, offset: Minutes) -> Flags:
        """Whether a wall time with its offset is the second of two of the same name."""
        if not len(self.changes):
            return np.zeros(wall.shape, dtype=np.bool_)
        change = np.maximum(np.searchsorted(self.after, wall, "right") - 1, 0)
        repeated = (self.after[change] <= wall) & (wall < self.before[change])
        second: Flags = repeated & (offset == self.offsets[change + 1])
        return second


def offsets_between(key: str, first: int, end: int) -> Offsets:
    """The offsets of a zone from UTC minute ``first`` to ``end``, with days to spare."""
    start = max(_FIRST + _MARGIN, moment_of(first)) - _MARGIN
    stop = min(_LAST - _MARGIN, moment_of(end)) + _MARGIN
    changes, offsets = offsets_of(key, start, stop)
    return Offsets(_minutes(changes), _minutes(offsets))


def _minutes(seconds: list[int]) -> Minutes:
    return np.array(seconds, dtype=np.int64) // 60

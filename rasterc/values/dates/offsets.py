"""A time zone's offsets from UTC over a stretch of time, as arrays.

Times are whole minutes since 1970-01-01 00:00 UTC; wall times are whole minutes since
1970-01-01 00:00 of the wall. What is worked out here for one moment at a time is in
`rasterc.values.dates.zones`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import InputError
from rasterc.values.dates.zonefile import offsets_of

Minutes = NDArray[np.int64]
"""Minutes since 1970-01-01 00:00, of UTC or of a wall clock."""

Flags = NDArray[np.bool_]

# Up to 1972 some zones were not whole minutes from UTC; clocks may go back a year from the first.
FIRST_YEAR = 1974
LAST_YEAR = 9990  # clocks go some years ahead, and Python's calendar ends with 9999

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_EPOCH_WALL = datetime(1970, 1, 1)
_MINUTE = timedelta(minutes=1)
_MARGIN = 3 * 24 * 60  # a wall time, and one a day later, are less than this from their moments
_FIRST = (datetime(1, 1, 1, tzinfo=UTC) - _EPOCH) // _MINUTE
_LAST = (datetime(9999, 12, 31, tzinfo=UTC) - _EPOCH) // _MINUTE


def check_horizon(start: date | None, years: int, most: int) -> None:
    """Refuse a stretch of so many years, at ``most``, that cannot be looked at.

    ``start`` is None where only the number of years matters.

    Raises:
        InputError: they are none or too many, or leave `FIRST_YEAR` to `LAST_YEAR`.
    """
    if not 1 <= years <= most:
        raise InputError.one(
            "bad-horizon", f"{years} years cannot be looked at", help=f"give 1 to {most} years"
        )
    if start is not None and (start.year < FIRST_YEAR or start.year + years > LAST_YEAR):
        raise InputError.one(
            "bad-horizon",
            f"{years} years from {start:%Y-%m-%d} cannot be looked at",
            help=f"stay within the years {FIRST_YEAR} to {LAST_YEAR}",
        )


def minute_of(moment: datetime) -> int:
    """The minute of UTC that a moment with an offset lies in."""
    return (moment - _EPOCH) // _MINUTE


def moment_of(minute: int, second: int = 0) -> datetime:
    """The moment, in UTC, at which a minute begins, or a second of it."""
    return _EPOCH + timedelta(minutes=int(minute), seconds=second)


def wall_of(minute: int, second: int = 0) -> datetime:
    """The naive wall time so many minutes after the epoch of the wall."""
    return _EPOCH_WALL + timedelta(minutes=minute, seconds=second)


def merged(*parts: Minutes) -> Minutes:
    """All minutes of the parts, ascending, each once."""
    joined = np.concatenate(parts)
    joined.sort(kind="stable")  # quick on parts that are sorted already
    keep = np.ones(len(joined), np.bool_)
    np.not_equal(joined[1:], joined[:-1], out=keep[1:])
    return joined[keep]


@dataclass(frozen=True, slots=True, eq=False)
class Offsets:
    """Minutes ahead of UTC: ``ahead[0]`` before ``changes[0]``, ``ahead[k]`` from change k - 1 on.

    ``changes`` are minutes of UTC, ascending; there is one offset more than changes.
    """

    changes: Minutes
    ahead: Minutes

    @property
    def before(self) -> Minutes:
        """Wall time of each change by the offset before it."""
        return self.changes + self.ahead[:-1]

    @property
    def after(self) -> Minutes:
        """Wall time of each change by the offset after it."""
        return self.changes + self.ahead[1:]

    @property
    def wall_edges(self) -> Minutes:
        """Wall times at which a skipped or repeated stretch begins or ends, sorted."""
        return merged(self.before, self.after)

    @property
    def utc_edges(self) -> Minutes:
        """Minutes of UTC at which clocks change or a repeated stretch ends, sorted."""
        return merged(self.changes, self.changes + np.maximum(self.before - self.after, 0))

    def at(self, utc: Minutes) -> Minutes:
        """The offset at minutes of UTC."""
        return self.ahead[np.searchsorted(self.changes, utc, "right")]

    def of_wall(self, wall: Minutes, *, second: bool = False) -> Minutes:
        """The offset that wall times have.

        Of wall times that come twice it is the first, or the ``second``; of skipped ones the
        offset before the change, or with ``second`` after it (as Python's ``fold`` has it).
        """
        pick = np.minimum if second else np.maximum
        return self.ahead[np.searchsorted(pick(self.before, self.after), wall, "right")]

    def is_second(self, wall: Minutes, ahead: Minutes) -> Flags:
        """Whether wall times that exist with these offsets are the second of their name."""
        second: Flags = self.of_wall(wall) != ahead
        return second

    def settle(self, wall: Minutes, second: Flags) -> tuple[Minutes, Minutes]:
        """The wall times, and their offsets, of the moments that ``wall`` stands for.

        A time the clocks skip is moved forward by the length of the gap; of one that comes twice
        it is the second where ``second`` is set: the same rule as `values.zones.settle`.
        """
        early, late = self.of_wall(wall), self.of_wall(wall, second=True)
        after_gap = self.at(wall - early)
        skipped = after_gap != early
        return (
            np.where(skipped, wall - early + after_gap, wall),
            np.where(skipped, after_gap, np.where(second, late, early)),
        )

    def gap_ends(self, wall: Minutes) -> Minutes:
        """``wall``, but the first time after the gap where the clocks skip it."""
        if not len(self.changes):
            return wall
        change = np.minimum(np.searchsorted(self.after, wall, "right"), len(self.changes) - 1)
        skipped = (self.before[change] <= wall) & (wall < self.after[change])
        return np.where(skipped, self.after[change], wall)


def offsets_between(key: str, first: int, end: int) -> Offsets:
    """The offsets of a zone from minute ``first`` to ``end``, with days to spare.

    The minutes may be of UTC or of the zone's wall.

    Raises:
        InputError: the zone then differed from UTC by a part of a minute.
    """
    start, stop = (
        moment_of(min(max(minute, _FIRST), _LAST)) for minute in (first - _MARGIN, end + _MARGIN)
    )
    changes, ahead = offsets_of(key, start, stop)
    for since, offset in zip([int(start.timestamp()), *changes], ahead, strict=True):
        if since % 60 or offset % 60:
            raise _odd_offset(key, moment_of(since // 60).year)
    return Offsets(np.array(changes, np.int64) // 60, np.array(ahead, np.int64) // 60)


def _odd_offset(key: str, year: int) -> InputError:
    return InputError.one(
        "odd-offset",
        f"around {year} {key} differed from UTC by a part of a minute",
        help=f"look at years from {FIRST_YEAR} on, and use offsets that stay there",
    )

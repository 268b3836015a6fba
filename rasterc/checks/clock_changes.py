"""When the clocks of a time zone are changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from rasterc.values.dates.zonefile import offsets_of

_SECOND = timedelta(seconds=1)
_LAST = datetime(9999, 12, 31, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class ClockChange:
    """A change of a zone's offset.

    Attributes:
        moment: the first moment with the new offset, in the zone.
        shift: how far the clocks go, negative when they go back.
    """

    moment: datetime
    shift: timedelta

    @property
    def repeated_from(self) -> datetime:
        """The wall time, without zone, from which times come twice when clocks go back."""
        return self.moment.replace(tzinfo=None, fold=0)

    @property
    def repeated_until(self) -> datetime:
        """The wall time before which they do."""
        return self.repeated_from - self.shift


def clock_changes(zone: ZoneInfo, start: datetime, days: int) -> Iterator[ClockChange]:
    """The changes in the days after ``start``, which has an offset, in order of time."""
    first = start.astimezone(UTC)
    until = first + min(timedelta(days=days), _LAST - first)
    seconds, ahead = offsets_of(zone.key, first, until + _SECOND)
    for second, (before, after) in zip(seconds, pairwise(ahead), strict=True):
        yield ClockChange(datetime.fromtimestamp(second, zone), timedelta(seconds=after - before))


def next_backward(zone: ZoneInfo, start: datetime) -> ClockChange | None:
    """The next time the clocks go back within 400 days, None if they do not."""
    changes = clock_changes(zone, start, 400)
    return next((change for change in changes if change.shift < timedelta()), None)

"""When the clocks of a time zone are changed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

_DAY = timedelta(days=1)


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
    """The changes in the days after ``start``, which has an offset, in order of time.

    Two changes within a day are seen as one.
    """
    early = start.astimezone(UTC).replace(microsecond=0)
    for _ in range(days):
        late = early + _DAY
        if _offset(early, zone) != _offset(late, zone):
            moment = _between(early, late, zone)
            shift = _offset(late, zone) - _offset(early, zone)
            yield ClockChange(moment.astimezone(zone), shift)
        early = late


def next_backward(zone: ZoneInfo, start: datetime) -> ClockChange | None:
    """The next time the clocks go back within 400 days, None if they do not."""
    changes = clock_changes(zone, start, 400)
    return next((change for change in changes if change.shift < timedelta()), None)


def _offset(moment: datetime, zone: ZoneInfo) -> timedelta:
    offset = moment.astimezone(zone).utcoffset()
    assert offset is not None
    return offset


def _between(early: datetime, late: datetime, zone: ZoneInfo) -> datetime:
    """The first second at which the offset is that of ``late``, by halving."""
    new = _offset(late, zone)
    while late - early > timedelta(seconds=1):
        middle = (early + (late - early) / 2).replace(microsecond=0)
        if _offset(middle, zone) == new:
            late = middle
        else:
            early = middle
    return late

"""Shifts: which one runs at a wall time, and when it began.

A shift's parts begin at points of its turn (day and minute of the wall clock), which is a week or
that of a roster; the running one is the latest whose point is at or before the wall time, going
round the turn. This is by wall time
also when clocks change: in a repeated hour a part that began in its first pass has not begun yet
at the start of the second pass. The part belongs to the production day on which it began, even
when it runs past the start of the next.
"""

from __future__ import annotations

from bisect import bisect_right
from datetime import date, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

from msgspec import Struct

from rasterc.diagnostics import Diagnostic
from rasterc.source.times import Shift, ShiftPart
from rasterc.values.dates.clocks import ClockValue, production_day
from rasterc.values.dates.zones import gap_end, settle

MINUTES_PER_DAY = 24 * 60
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class RunningShift(Struct, frozen=True):
    """The part of a shift that runs, the wall time at which it began and the production day then.

    ``began`` has a zone unless the shift's clock is a fixed date. A beginning that the clocks skip
    is the first moment after the change; of one that comes twice it is the first.
    """

    label: str
    began: datetime
    day: date

    @property
    def start(self) -> ClockValue:
        """What ``start of SHIFT`` shows."""
        return ClockValue(self.began, self.day)


class Schedule(Struct, frozen=True):
    """A shift's begin points through its turn, sorted, and labels.

    Points are minutes from 00:00 of the first day: of Monday, or that of a roster.
    """

    shift: Shift
    points: tuple[int, ...]
    labels: tuple[str, ...]
    day_from_minutes: int

    @property
    def turn_minutes(self) -> int:
        """Minutes after which the points come again, when no clock is changed."""
        return self.shift.turn.days * MINUTES_PER_DAY

    @property
    def lasting(self) -> tuple[int, ...]:
        """Minutes from each point to the next."""
        after = (*self.points[1:], self.points[0] + self.turn_minutes)
        return tuple(end - begin for begin, end in zip(self.points, after, strict=True))

    def running(self, wall: datetime) -> RunningShift:
        """The part running at a wall time.

        Raises:
            OverflowError: it began before year 1.
        """
        minute = self.shift.turn.day(wall.date()) * MINUTES_PER_DAY + wall.hour * 60 + wall.minute
        index = bisect_right(self.points, minute) - 1  # -1: the last one of the turn before
        back = (minute - self.points[index]) % self.turn_minutes
        naive = wall.replace(tzinfo=None, fold=0, second=0, microsecond=0)
        began = naive - timedelta(minutes=back)
        day = production_day(began, self.day_from_minutes)
        return RunningShift(self.labels[index], _in_zone(began, wall.tzinfo), day)


def _in_zone(began: datetime, zone: tzinfo | None) -> datetime:
    if not isinstance(zone, ZoneInfo):
        return began
    return gap_end(began, zone) or settle(began, zone)


def schedule(shift: Shift, day_from_minutes: int) -> tuple[Schedule, list[Diagnostic]]:
    """The begin points of a shift, and what is wrong with them."""
    at: dict[int, ShiftPart] = {}
    faults: list[Diagnostic] = []
    for part in shift.parts:
        for day in part.days:
            minute = day * MINUTES_PER_DAY + part.from_minutes
            if minute in at:
                faults.append(_same_beginning(part, at[minute], shift, day))
            at.setdefault(minute, part)
    if not at:
        faults.append(Diagnostic("empty-shift", f'shift "{shift.name}" never begins', shift.span))
    points = tuple(sorted(at))
    labels = tuple(at[point].label for point in points)
    return Schedule(shift, points, labels, day_from_minutes), faults


def _same_beginning(part: ShiftPart, earlier: ShiftPart, shift: Shift, day: int) -> Diagnostic:
    hour, minute = divmod(part.from_minutes, 60)
    on = f"day {day + 1}" if shift.roster else _WEEKDAYS[day]
    return Diagnostic(
        "overlapping-shifts",
        f'"{earlier.label}" and "{part.label}" both begin at {hour:02}:{minute:02} on {on}',
        part.span,
        "let them begin at different times, or on different days with "
        f"`on {'1 to 5' if shift.roster else 'mon to fri'}`",
    )

"""Does a printed time or shift belong to one moment, and to the day printed beside it?"""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.clock_changes import next_backward
from rasterc.checks.durability import chain_of
from rasterc.checks.marks import HOURS, Mark, marks
from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.diagnostics import Severity
from rasterc.values.fields import CounterText, ShiftText
from rasterc.values.shifts import MINUTES_PER_DAY, Schedule

_TIME = """
message example {{
  raster 7
  font upright-7
  clock packed in "{zone}"
  block {{ line: "PACKED " packed({pattern}) }}
  expect at 2027-11-25 14:05 {{ "PACKED {text}" }}
}}
"""
_SHIFT = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"{day}
  shift crew of packed {{
    "A" from 06:00
    "B" from 14:00
    "C" from 22:00
  }}
  block {{ line: packed(dd MMM yyyy, upper) " " crew }}
  expect at 2027-11-25 14:05 {{ "25 NOV 2027 B" }}
}}
"""


class TwelveHourClock(Rule):
    """h or K, hours to twelve, without a."""

    id = "twelve-hour-clock"
    title = "hh counts to twelve, and nothing says morning or afternoon"
    severity = Severity.WARNING
    rationale = (
        "With h or K 02:05 stands for two moments of a day, and so for two lots. The hour of the "
        "day is HH."
    )
    source = "UTS #35, part 4 (Dates), date field symbols: h, H, K and a"
    trips = Example(_TIME.format(zone="UTC", pattern="dd MMM yyyy hh:mm", text="25 Nov 2027 02:05"))
    passes = Example(
        _TIME.format(zone="UTC", pattern="dd MMM yyyy HH:mm", text="25 Nov 2027 14:05")
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such hour of a clock whose half-day is not printed."""
        printed = marks(subject)
        with_half = {mark.clock for mark in printed if mark.has("a")}
        for mark in printed:
            hour = mark.part("hK")
            if hour and mark.clock not in with_half:
                yield self.finding(
                    subject,
                    f'"{mark.pattern}" prints {mark.text} at night and in the afternoon alike',
                    mark.span,
                    f"write {mark.rewritten({'h': 'H', 'K': 'H'})}, or add AM or PM: a",
                )


class RepeatedHour(Rule):
    """Hours of a clock whose zone has a clock change, with nothing else to tell codes apart."""

    id = "repeated-hour"
    title = "An hour comes twice when the clocks go back"
    severity = Severity.NOTE
    rationale = (
        "In the night the clocks go back, every minute of an hour comes twice, and two codes made "
        "an hour apart are the same. A counter in the code tells them apart; a line that stands "
        "still in that hour has nothing to fear."
    )
    source = "IANA time zone database; common practice"
    trips = Example(
        _TIME.format(zone="Europe/Dublin", pattern="dd MMM yyyy HH:mm", text="25 Nov 2027 14:05")
    )
    passes = Example(
        _TIME.format(zone="UTC", pattern="dd MMM yyyy HH:mm", text="25 Nov 2027 14:05")
    )

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield one note, for the first hour printed."""
        counted = any(isinstance(field.source, CounterText) for field in subject.plan.fields)
        when = subject.when
        for mark in marks(subject):
            zone = subject.plan.clocks[mark.clock].zone
            if counted or when is None or zone is None or not mark.has(HOURS):
                continue
            change = next_backward(zone, when)
            if change is not None:
                first, last = change.repeated_from, change.repeated_until
                yield self.finding(
                    subject,
                    f"on {first.date()} the times {first:%H:%M} to {last:%H:%M} come twice in "
                    f"{zone.key}: codes made then are the same as an hour later",
                    mark.span,
                    'print a counter too, let the line stand in that hour, or use a clock in "UTC"',
                )
                return


class ShiftAcrossMidnight(Rule):
    """A shift printed with a date that changes while it runs."""

    id = "shift-across-midnight"
    title = "The date changes in the middle of a printed shift"
    severity = Severity.WARNING
    rationale = (
        "With date and shift together a code says which crew made the product. If the day ends "
        "while the night shift runs, its second half carries the next day, and one label stands "
        "for the end of one night and the beginning of the next."
    )
    source = "common practice, no source"
    trips = Example(_SHIFT.format(day=""))
    passes = Example(_SHIFT.format(day=", day from 06:00"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every shift that runs across the start of a printed day."""
        shifts = [f for f in subject.plan.fields if isinstance(f.source, ShiftText)]
        for field in shifts:
            schedule = subject.plan.schedules[field.name]
            cut = next((m for m in marks(subject) if _is_cut(subject, m, schedule)), None)
            if cut is not None:
                start = subject.plan.clocks[cut.clock].day_from_minutes
                label = _running_at(schedule, start)
                yield self.finding(
                    subject,
                    f'the day of {cut.clock} starts at {_clock(start)}, while shift "{label}" of '
                    f"{field.name} runs: its codes carry two dates",
                    field.span,
                    _remedy(subject, cut, schedule),
                )


def _is_cut(subject: Subject, mark: Mark, schedule: Schedule) -> bool:
    """Whether a mark shows a day that starts at a time of day at which no shift begins."""
    root = chain_of(subject, mark.clock)[0]
    if root.zone is None or not mark.has("dDEec"):
        return False  # a fixed date, or the start of a shift, which stays while it runs
    start = subject.plan.clocks[mark.clock].day_from_minutes
    return start not in {point % MINUTES_PER_DAY for point in schedule.points}


def _running_at(schedule: Schedule, minute: int) -> str:
    """The label of the shift that runs at a time of day, on the first weekday it has one."""
    latest = max((p for p in schedule.points if p <= minute), default=schedule.points[-1])
    return schedule.labels[schedule.points.index(latest)]


def _remedy(subject: Subject, mark: Mark, schedule: Schedule) -> str:
    root = chain_of(subject, mark.clock)[0]
    earliest = min(point % MINUTES_PER_DAY for point in schedule.points)
    return (
        f"let the day start with a shift: clock {root.name} ..., day from {_clock(earliest)}; or "
        f"print the day it began: clock began = start of {schedule.shift.name}"
    )


def _clock(minutes: int) -> str:
    return f"{minutes // 60:02}:{minutes % 60:02}"

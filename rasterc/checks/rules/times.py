"""Does a printed time or shift belong to one moment, and to the day printed beside it?"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import datetime, time, timedelta

from rasterc.checks.clock_changes import ClockChange, next_backward
from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import HOURS, Mark, marks
from rasterc.checks.printed.durability import chain_of
from rasterc.diagnostics import Severity, Span
from rasterc.source.declarations import Clock
from rasterc.values.dates.shifts import MINUTES_PER_DAY, Schedule
from rasterc.values.fields.kinds import CounterText, ShiftText

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
        """Yield a finding for every such hour of a clock that does not tell the half-day too."""
        printed = marks(subject)
        with_half = {mark.clock for mark in printed if mark.has("aHk")}
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
    samples = True
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


class BeginsInRepeatedHour(Rule):
    """A day or a shift that begins within the hour that comes twice."""

    id = "begins-in-repeated-hour"
    title = "A day or shift begins inside the hour that comes twice"
    severity = Severity.WARNING
    samples = True
    rationale = (
        "When the clocks go back from 03:00 to 02:00, a day that starts at 02:30 has begun, and at "
        "the second 02:00 it is the day before again, until 02:30 comes once more. Dates run "
        "backwards, and a counter that restarts with the day starts twice and repeats its "
        "numbers. At either end of that hour nothing happens."
    )
    source = "IANA time zone database"
    trips = Example(_SHIFT.format(day=", day from 01:30").replace("Dublin", "Lisbon"))
    passes = Example(_SHIFT.format(day=", day from 06:00").replace("Dublin", "Lisbon"))

    def of_message(self, subject: Subject) -> Iterator[Finding]:
        """Yield a finding for every such start of a day or shift that the code depends on."""
        when = subject.when
        for clock in subject.plan.clocks_read() if when else ():
            zone = subject.plan.clocks[clock.name].zone
            change = next_backward(zone, when) if zone and when else None
            if zone is None or change is None:
                continue
            for what, start, span in _beginnings(subject, clock, change):
                first, last = change.repeated_from, change.repeated_until
                yield self.finding(
                    subject,
                    f"{what} begins at {_clock(start)}; on {first.date()} the times {first:%H:%M} "
                    f"to {last:%H:%M} come twice in {zone.key}, and it begins twice",
                    span,
                    f"let it begin at {first:%H:%M} or {last:%H:%M}, or at another hour",
                )


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


def _beginnings(
    subject: Subject, clock: Clock, change: ClockChange
) -> Iterator[tuple[str, int, Span]]:
    """The starts within the repeated time that the code depends on: what, minute, place."""
    plan, printed = subject.plan, marks(subject)
    counters = (f.source.counter for f in plan.fields if isinstance(f.source, CounterText))
    used = {counter.restart_of for counter in counters}
    dated = used | {mark.clock for mark in printed if mark.has("yYQqMLwdDEec")}
    of_clock = [name for name, each in plan.clocks.items() if each.root == clock]
    start = clock.day_from_minutes
    if not dated.isdisjoint(of_clock) and _is_repeated(start, range(7), change):
        yield f"the day of {clock.name}", start, clock.span
    used |= {f.source.shift for f in plan.fields if isinstance(f.source, ShiftText)}
    used |= {chain_of(subject, mark.clock)[0].shift for mark in printed}
    for name, schedule in plan.schedules.items():
        for part in schedule.shift.parts if schedule.shift.clock in of_clock else ():
            if name in used and _is_repeated(part.from_minutes, part.weekdays, change):
                yield f'shift "{part.label}" of {name}', part.from_minutes, part.span


def _is_repeated(minute: int, weekdays: Collection[int], change: ClockChange) -> bool:
    """Whether a time of day lies inside the times that come twice, on a day on which it counts."""
    first, last = change.repeated_from, change.repeated_until
    walls = (datetime.combine(day, time()) + timedelta(minutes=minute)
             for day in {first.date(), last.date()})  # fmt: skip
    return any(first < wall < last and wall.weekday() in weekdays for wall in walls)


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

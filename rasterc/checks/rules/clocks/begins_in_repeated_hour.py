"""A day or a shift that begins within the hour that comes twice."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import datetime, time, timedelta

from rasterc.checks.clock_changes import ClockChange, next_backward
from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import marks
from rasterc.checks.printed.durability import chain_of
from rasterc.checks.rules.clocks.examples import SHIFT, hhmm
from rasterc.diagnostics import Severity, Span
from rasterc.source.times import WEEK, Clock, Turn
from rasterc.values.fields.kinds import CounterText, ShiftText


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
    trips = Example(SHIFT.format(day=", day from 01:30").replace("Dublin", "Lisbon"))
    passes = Example(SHIFT.format(day=", day from 06:00").replace("Dublin", "Lisbon"))

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
                    f"{what} begins at {hhmm(start)}; on {first.date()} the times {first:%H:%M} "
                    f"to {last:%H:%M} come twice in {zone.key}, and it begins twice",
                    span,
                    f"let it begin at {first:%H:%M} or {last:%H:%M}, or at another hour",
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
    if not dated.isdisjoint(of_clock) and _is_repeated(start, WEEK, range(7), change):
        yield f"the day of {clock.name}", start, clock.span
    used |= {f.source.shift for f in plan.fields if isinstance(f.source, ShiftText)}
    used |= {chain_of(subject, mark.clock)[0].shift for mark in printed}
    for name, schedule in plan.schedules.items():
        for part in schedule.shift.parts if schedule.shift.clock in of_clock else ():
            if name in used and _is_repeated(
                part.from_minutes, schedule.shift.turn, part.days, change
            ):
                yield f'shift "{part.label}" of {name}', part.from_minutes, part.span


def _is_repeated(minute: int, turn: Turn, days: Collection[int], change: ClockChange) -> bool:
    """Whether a time of day lies inside the times that come twice, on a day on which it counts."""
    first, last = change.repeated_from, change.repeated_until
    walls = (datetime.combine(day, time()) + timedelta(minutes=minute)
             for day in {first.date(), last.date()})  # fmt: skip
    return any(first < wall < last and turn.day(wall.date()) in days for wall in walls)

"""A shift printed with a date that changes while it runs."""

from __future__ import annotations

from collections.abc import Iterator

from rasterc.checks.model import Example, Finding, Rule, Subject
from rasterc.checks.printed.dates import Mark, marks
from rasterc.checks.printed.durability import chain_of
from rasterc.checks.rules.clocks.examples import SHIFT, hhmm
from rasterc.diagnostics import Severity
from rasterc.values.dates.shifts import MINUTES_PER_DAY, Schedule
from rasterc.values.fields.kinds import ShiftText


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
    trips = Example(SHIFT.format(day=""))
    passes = Example(SHIFT.format(day=", day from 06:00"))

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
                    f'the day of {cut.clock} starts at {hhmm(start)}, while shift "{label}" of '
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
        f"let the day start with a shift: clock {root.name} ..., day from {hhmm(earliest)}; or "
        f"print the day it began: clock began = start of {schedule.shift.name}"
    )

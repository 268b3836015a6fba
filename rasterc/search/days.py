"""The days on which something happens to what a message prints.

Days of the calendar (ends of months and years, leap days, changes of clocks) matter to whoever
looks ahead; on others a message ends, or begins anew: a counter runs out or starts again, a date
has no text any more (a table without a row for it, say), a fixed date passes.

>>> from datetime import date
>>> [(str(one.day), one.said) for one in calendar_days(date(2028, 2, 1), date(2028, 3, 31))]
[('2028-02-29', 'leap day, and the month ends'), ('2028-03-31', 'the month ends')]
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

import numpy as np
from msgspec import Struct, structs

from rasterc.checks.clock_changes import clock_changes
from rasterc.checks.pace import MINUTES_PER_DAY, most_products
from rasterc.checks.printed.durability import fixed_days
from rasterc.checks.subject import Subject
from rasterc.diagnostics import InputError
from rasterc.domain.atoms import TIME, Feature, Whole, atoms_of, reads_of
from rasterc.domain.clockwork import TooManyCellsError, clockwork
from rasterc.domain.horizon import home_zone, horizon
from rasterc.domain.printer import Fault, Printer
from rasterc.domain.timeline import Tracks
from rasterc.source.declarations import AtEnd, Counter, Restart
from rasterc.values import Plan
from rasterc.values.dates.offsets import Minutes, moment_of
from rasterc.values.fields.kinds import ClockText, CounterText, FieldPlan
from rasterc.values.fields.options import LookUp
from rasterc.values.given.counters import text_of

_DAY = timedelta(days=1)
_OFTEN = (Restart.DAILY, Restart.SHIFT)
"""Restarts that come every day, and are no news."""


class Kind(StrEnum):
    """What kind of day it is."""

    MONTH_END = "month-end"
    YEAR_END = "year-end"
    LEAP_DAY = "leap-day"
    CLOCKS = "clocks"  # the clocks of a zone change
    RESTART = "restart"  # a counter starts again
    COUNTER_ENDS = "counter-ends"  # a counter has no more numbers
    NO_TEXT = "no-text"  # the message cannot be printed any more
    DATE_PASSES = "date-passes"  # a fixed date is over
    FAILING = "failing"  # a check finds something then


ENDS = (Kind.COUNTER_ENDS, Kind.NO_TEXT, Kind.DATE_PASSES, Kind.FAILING)
"""Days that need somebody."""


class Day(Struct, frozen=True):
    """A day of interest.

    Attributes:
        day: the day, of the calendar where the message is printed.
        kind: what kind of day it is.
        said: what happens.
    """

    day: date
    kind: Kind
    said: str


class Ahead(Struct, frozen=True):
    """What is ahead of a message.

    Attributes:
        days: in order.
        cannot_say: what could not be looked at, in words.
    """

    days: tuple[Day, ...] = ()
    cannot_say: tuple[str, ...] = ()

    @property
    def next_day(self) -> Day | None:
        """The first day that needs somebody; if there is none, the first there is."""
        needed = (day for day in self.days if day.kind in ENDS)
        return next(needed, self.days[0] if self.days else None)

    def with_day(self, day: Day | None) -> Ahead:
        """The same with one day more."""
        if day is None:
            return self
        days = sorted((*self.days, day), key=lambda one: (one.day, one.kind))
        return structs.replace(self, days=tuple(days))


class Edge(Struct, frozen=True):
    """A moment at which a production day or a shift begins.

    Attributes:
        at: the first minute of it, with the zone of the message.
        of: the name of the clock or the shift.
        label: of the shift's part; "" for a production day.
    """

    at: datetime
    of: str
    label: str = ""


def calendar_days(first: date, last: date) -> Iterator[Day]:
    """Ends of months and years and leap days, both ends included."""
    year, month = first.year, first.month
    while date(year, month, 1) <= last:
        following = (year + month // 12, month % 12 + 1)
        end = date(*following, 1) - _DAY
        if first <= end <= last:
            yield Day(end, *_ending(end))
        year, month = following


def _ending(end: date) -> tuple[Kind, str]:
    if end.month == 12:
        return Kind.YEAR_END, "the year ends"
    if (end.month, end.day) == (2, 29):
        return Kind.LEAP_DAY, "leap day, and the month ends"
    return Kind.MONTH_END, "the month ends"


def changes_of_clocks(plan: Plan, start: datetime, years: int) -> Iterator[Day]:
    """Changes of the clocks that a message reads, of each zone, in the years from a moment."""
    zones = sorted({clock.zone for clock in plan.clocks_read() if clock.zone})
    for zone in zones:
        for change in clock_changes(ZoneInfo(zone), start, 366 * years):
            way = "back" if change.shift < timedelta() else "forward"
            yield Day(change.moment.date(), Kind.CLOCKS, f"clocks go {way} in {zone}")


def edges_of(plan: Plan, start: datetime, end: datetime) -> tuple[Edge, ...]:
    """Where production days and shifts begin, from a moment to another, in order.

    Raises:
        InputError: the zone differed from UTC by a part of a minute then.
    """
    if plan.cases is not None:
        plan = next(plan.plain())  # clocks that are read are the same in all cases
    zone = home_zone(plan)
    first, last = (int(moment.timestamp()) // 60 for moment in (start, end))
    names = [clock.name for clock in plan.clocks_read()]
    line = Tracks(plan, first, last).line(names, plan.schedules)
    edges: list[Edge] = []
    for name in names:
        edges += (Edge(at, name) for at, _ in _begins(line.starts, [line.clocks[name].day], zone))
    for name, shift in line.shifts.items():
        labels = plan.schedules[name].labels
        columns = [shift.began.wall, shift.point]
        for at, cell in _begins(line.starts, columns, zone):
            edges.append(Edge(at, name, labels[shift.point[cell]]))
    return tuple(sorted(edges, key=lambda edge: (edge.at.astimezone(UTC), edge.of)))


def _begins(
    starts: Minutes, columns: Iterable[Minutes], zone: ZoneInfo
) -> Iterator[tuple[datetime, int]]:
    """Where one of some columns changes: the moment, and the number of the cell."""
    changed = np.zeros(len(starts), np.bool_)
    for column in columns:
        changed[1:] |= column[1:] != column[:-1]
    for cell in np.flatnonzero(changed):
        yield moment_of(int(starts[cell])).astimezone(zone), int(cell)


def coming_days(subject: Subject, start: datetime, years: int) -> Ahead:
    """The days on which a message ends, or a counter of it starts again, in order.

    Counters that start again every day or shift are left out. A fixed date that has passed
    already is among them.

    Args:
        subject: the message with the values of its counters, on its line.
        start: the first moment, with an offset.
        years: how many calendar years are looked ahead.
    """
    plan = subject.plan
    cases = (subject, *subject.others)  # one for each kind of row that dates depend on
    found = [*_counters_end(subject, start, years)]
    found += dict.fromkeys(day for case in cases for day in _dates_pass(case, start, years))
    unsure = [] if subject.all_cases else ["what comes of each row of its tables"]
    if any(_looks_up_typed(plan, field) for field in plan.fields):
        unsure.append("what comes of dates that are typed")
    for look, said in _LOOKS.items() if plan.clocks_read() else ():
        try:
            stretch = horizon(plan, start, years).minutes
            found += look([case.plan for case in cases], *stretch)
        except (InputError, TooManyCellsError):
            unsure.append(said)
    return Ahead(tuple(sorted(found, key=lambda day: (day.day, day.kind))), tuple(unsure))


def _printed_counters(plan: Plan) -> dict[str, Counter]:
    sources = [field.source for field in plan.fields]
    return {one.counter.name: one.counter for one in sources if isinstance(one, CounterText)}


def _counters_end(subject: Subject, start: datetime, years: int) -> Iterator[Day]:
    """Counters that never start again, where it is known how many products a day are coded."""
    a_day = most_products(subject.profile, MINUTES_PER_DAY) if subject.profile else None
    for name, counter in _printed_counters(subject.plan).items():
        if counter.restart is not Restart.NEVER or not a_day:
            continue
        now = subject.resolved.instant.counters[name]
        left = len(range(now, counter.values[-1] + counter.values.step, counter.values.step))
        days = left * counter.repeat / a_day
        if days > 366 * years:
            continue
        last = text_of(counter, counter.values[-1])
        end = "stops" if counter.at_end is AtEnd.STOP else "begins again"
        said = f"counter {name} {end} after {last} at the earliest, at {a_day:,.0f} products a day"
        yield Day(_local(subject.plan, start + timedelta(days=days)), Kind.COUNTER_ENDS, said)


def _dates_pass(subject: Subject, start: datetime, years: int) -> Iterator[Day]:
    today = _local(subject.plan, start)
    for mark, last in fixed_days(subject):
        if last <= today + 366 * years * _DAY:
            said = f"the fixed date of {mark.clock} {'passes' if last >= today else 'has passed'}"
            yield Day(last, Kind.DATE_PASSES, said)


def _without_text(plans: Sequence[Plan], first: int, end: int) -> Iterator[Day]:
    """The first day on which each field that will have no text has none, in any of the cases."""
    faults = [fault for plan in plans for fault in _faults(plan, first, end)]
    faults.sort(key=lambda fault: fault.minute)
    for fault in {one.diagnostic.span: one for one in reversed(faults)}.values():
        yield Day(_local(plans[0], moment_of(fault.minute)), Kind.NO_TEXT, fault.diagnostic.message)


def _faults(plan: Plan, first: int, end: int) -> Sequence[Fault]:
    """Where fields that go by the time alone have no text."""
    atoms = [
        atom
        for field in plan.fields
        for atom in atoms_of(plan, (field,))
        if isinstance(atom, Whole) and reads_of(atom) == {TIME}
    ]
    return clockwork(plan, first, end, atoms).faults


def _looks_up_typed(plan: Plan, field: FieldPlan) -> bool:
    """Whether a date that is typed, or counted from one, picks a row of a table."""
    source = field.source
    picks = any(isinstance(option, LookUp) for option in field.options)
    return picks and isinstance(source, ClockText) and plan.clocks[source.clock].root.typed


def _restarts(plans: Sequence[Plan], first: int, end: int) -> Iterator[Day]:
    """The first time each counter starts again; it does so in all cases at once."""
    plan = plans[0]
    for name, counter in _printed_counters(plan).items():
        if counter.restart is Restart.NEVER or counter.restart in _OFTEN:
            continue
        assert counter.restart_of is not None
        line = Tracks(plan, first, end).line([counter.restart_of], [])
        printer = Printer(plan, line)
        columns = [
            printer.features(Feature(counter.restart_of, part)) for part in counter.restart.parts
        ]
        begins = _begins(line.starts, columns, home_zone(plan))
        if (at := next(begins, None)) is not None:
            said = f"counter {name} starts again, {counter.restart.word}"
            yield Day(at[0].date(), Kind.RESTART, said)


_LOOKS = {
    _without_text: "whether it can be printed to the end",
    _restarts: "when its counters start again",
}
"""What is looked for in the clocks of a message, and what it tells."""


def _local(plan: Plan, moment: datetime) -> date:
    """The day of a moment where the message is printed."""
    return moment.astimezone(home_zone(plan)).date()

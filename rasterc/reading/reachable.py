"""The values a clock can show: all days and times, unless its steps or its shift hold it back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from itertools import chain
from zoneinfo import ZoneInfo

from rasterc.source.declarations import MoveTo
from rasterc.values.dates.clocks import ClockPlan, ClockValue, apply_steps, fixed_clock
from rasterc.values.dates.patterns import LETTERS, Part, Shows
from rasterc.values.dates.shifts import Schedule
from rasterc.values.dates.zonefile import offsets_of
from rasterc.values.model import Instant
from rasterc.values.plan import Plan

# Eight years have leap days and weeks 53 and nearly every weekday on every date: they show every
# text of every letter but the year's, also when steps move them.
_DAYS = tuple(date(2024, 1, 1) + timedelta(days=n) for n in range(8 * 365 + 2))


@dataclass(frozen=True, slots=True)
class Reach:
    """Values that show every text of a clock's letters; ``years`` are those of the year's."""

    days: tuple[ClockValue, ...]
    times: tuple[ClockValue, ...]
    years: tuple[ClockValue, ...]

    def texts(self, part: Part) -> frozenset[str]:
        """Every text a part of a date pattern can print."""
        if part.shows is None:
            return frozenset([part.text])
        by_day = self.days if LETTERS[part.letter].part.returns else self.years
        return frozenset(map(part.render, by_day if part.shows is Shows.DAY else self.times))


def reach(plan: Plan, name: str) -> Reach:
    """What a clock of the plan can show.

    The shift whose start a clock shows is taken to begin on every day it can, even if its own clock
    is held back.

    Raises:
        InputError: the plan has faults, or a fixed date leaves the years 1 to 9999.
    """
    clock = plan.clocks[name]
    if clock.root.zone is None:
        only = (plan.at(Instant()).clock(name),)
        return Reach(only, only, only)
    derived, shift = _derivation(plan, clock)
    years = _every_year()
    if shift is None and not any(isinstance(s, MoveTo) for c in derived for s in c.clock.steps):
        return Reach(_every_day(), _every_time(), years)
    values = _every_day() if shift is None else _starts(shift, clock)
    seen = [_stepped(value, derived) for value in values]
    days = tuple({value.day: value for value in seen}.values())
    if shift is None:
        return Reach(days, _every_time(), years)
    return Reach(days, tuple({value.wall.time(): value for value in seen}.values()), years)


def _derivation(plan: Plan, clock: ClockPlan) -> tuple[list[ClockPlan], Schedule | None]:
    """The clock and those it is derived from, up to the shift whose start it shows, if any."""
    derived = [clock]
    while derived[-1].clock.base is not None:
        derived.append(plan.clocks[derived[-1].clock.base])
    shift = derived[-1].clock.shift
    return derived, None if shift is None else plan.schedules[shift]


def _stepped(value: ClockValue, derived: list[ClockPlan]) -> ClockValue:
    """The value after the steps of each clock, the last one's first."""
    for clock in reversed(derived):
        value = apply_steps(value, clock)
    return value


@cache
def _every_day() -> tuple[ClockValue, ...]:
    return tuple(map(fixed_clock, _DAYS))


@cache
def _every_year() -> tuple[ClockValue, ...]:
    """The middle of every year, which is in the same year of weeks."""
    return tuple(fixed_clock(date(year, 7, 1)) for year in range(1, 10_000))


@cache
def _every_time() -> tuple[ClockValue, ...]:
    """Every minute, and every second of one."""
    minutes = (time(*divmod(minute, 60)) for minute in range(24 * 60))
    seconds = (time(0, 0, second) for second in range(60))
    return tuple(
        ClockValue(datetime.combine(_DAYS[0], t), _DAYS[0]) for t in chain(minutes, seconds)
    )


def _starts(shift: Schedule, clock: ClockPlan) -> Iterator[ClockValue]:
    """What the start of the shift shows through the days."""
    assert clock.zone is not None
    begins = sorted({point % (24 * 60) for point in shift.points})
    changed = _days_of_change(clock.zone)
    for day in _DAYS:
        # Only where the clocks change can a beginning be moved; elsewhere no zone is much faster.
        zone = clock.zone if day in changed else None
        for minute in begins:
            yield shift.running(datetime.combine(day, time(*divmod(minute, 60)), zone)).start


def _days_of_change(zone: ZoneInfo) -> frozenset[date]:
    """Days between whose noon and that of the day before the clocks change."""
    first, last = (datetime.combine(day, time(), UTC) for day in (_DAYS[0], _DAYS[-1]))
    seconds, _ = offsets_of(zone.key, first - timedelta(days=2), last + timedelta(days=2))
    half_a_day = timedelta(hours=12)
    return frozenset((datetime.fromtimestamp(s, zone) + half_a_day).date() for s in seconds)

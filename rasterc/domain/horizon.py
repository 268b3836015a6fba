"""The stretch of time that is looked at."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, tzinfo
from zoneinfo import ZoneInfo

from rasterc.values import Instant, Plan
from rasterc.values.dates.offsets import check_horizon, minute_of
from rasterc.values.dates.steps import add_months
from rasterc.values.dates.zones import settle

MAX_YEARS = 1000


@dataclass(frozen=True, slots=True)
class Horizon:
    """A stretch of whole minutes, the end excluded, and the zone that times are told in."""

    start: datetime
    end: datetime
    zone: tzinfo

    @property
    def minutes(self) -> tuple[int, int]:
        """First minute and end, counted from 1970 in UTC."""
        return minute_of(self.start), minute_of(self.end)


def horizon(plan: Plan, start: date | datetime, years: int, most: int = MAX_YEARS) -> Horizon:
    """So many calendar years, ``most`` of them, from a start.

    A start without an offset is wall time in the zone of the message's first clock, a date alone
    its midnight.

    Raises:
        InputError: it leaves the years that can be looked at.
    """
    check_horizon(start, years, most)
    zone = _zone(plan)
    first = start if isinstance(start, datetime) else datetime.combine(start, time())
    if first.tzinfo is not None:
        first = first.astimezone(zone)
    first = first.replace(second=0, microsecond=0)
    last = datetime.combine(add_months(first.date(), 12 * years), first.time())
    return Horizon(_moment(first, zone), _moment(last, zone), zone)


def stretch(plan: Plan, start: datetime, years: int, most: int) -> tuple[int, int]:
    """The minutes of UTC from a start to so many calendar years later, for what is printed.

    A naive ``start`` is wall time in the zone of the message's clocks. A message that reads no
    clock has one minute only.

    Raises:
        InputError: the start does not exist or cannot be told, or the years cannot be looked at.
    """
    if not plan.clocks_read():
        check_horizon(None, years, most)
        return 0, 1
    return horizon(plan, plan.when(Instant(start)), years, most).minutes


def home_zone(plan: Plan) -> ZoneInfo:
    """The zone of the first clock the message reads; UTC when it reads none."""
    clocks = plan.clocks_read()
    return ZoneInfo(clocks[0].zone or "UTC") if clocks else ZoneInfo("UTC")


def _zone(plan: Plan) -> tzinfo:
    """That of the first clock that is printed, else of the first there is."""
    names = [*(clock.name for clock in plan.clocks_read()), *plan.clocks]
    zones: Iterable[tzinfo | None] = (plan.clocks[name].zone for name in names)
    return next((zone for zone in zones if zone is not None), UTC)


def _moment(wall: datetime, zone: tzinfo) -> datetime:
    if isinstance(zone, ZoneInfo):
        return settle(wall.replace(tzinfo=None), zone, wall.fold)
    return wall.replace(tzinfo=zone)

"""Time zones: finding one by name, and wall times that a clock change skips or repeats."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

from rasterc.diagnostics import InputError, Span, did_you_mean
from rasterc.files import note_read
from rasterc.values.dates.zonefile import zone_path

# Names that some systems offer but that mean another zone on each of them, or count leap seconds.
_NOT_ZONES = ("localtime", "posixrules", "posix/", "right/")


def find_zone(name: str, span: Span | None) -> ZoneInfo:
    """The zone of the IANA time zone database called ``name`` ("Europe/Dublin").

    Raises:
        InputError: there is no such zone.
    """
    try:
        if not name.startswith(_NOT_ZONES):
            zone = ZoneInfo(name)
            note_read(zone_path(name))  # its rules change with the releases of the database
            return zone
    except (KeyError, ValueError, OSError):
        pass  # unknown, malformed ("../x"), or a folder ("Europe")
    hint = did_you_mean(name, available_timezones())
    raise InputError.one(
        "unknown-zone",
        f'there is no time zone "{name}"',
        span,
        hint if hint.startswith("did") else 'write it like "Europe/Dublin" or "UTC"',
    )


def settle(wall: datetime, zone: ZoneInfo, fold: int = 0) -> datetime:
    """The moment a naive ``wall`` time stands for in ``zone``.

    A time skipped by a clock change is moved forward by the length of the gap. Of a time that
    comes twice, ``fold`` 0 is the first and 1 the second; it is 0 in the result for other times.

    >>> str(settle(datetime(2027, 3, 28, 2, 30), ZoneInfo("Europe/Warsaw")))
    '2027-03-28 03:30:00+02:00'
    """
    first = wall.replace(tzinfo=zone, fold=0)
    moment = first.astimezone(UTC).astimezone(zone)
    if moment.replace(tzinfo=None, fold=0) != wall.replace(fold=0) or not fold:
        return moment
    return wall.replace(tzinfo=zone, fold=1).astimezone(UTC).astimezone(zone)


def gap_end(wall: datetime, zone: ZoneInfo) -> datetime | None:
    """The first wall time after the gap ``wall`` falls in, or None if ``wall`` exists.

    ``wall`` is naive, the result has the zone.
    """
    after = settle(wall, zone)
    gap = after.replace(tzinfo=None) - wall.replace(fold=0)
    if not gap:
        return None
    late = after.astimezone(UTC)
    early = late - gap  # the change lies after early and not after late
    while late - early > timedelta(seconds=1):
        middle = early + (late - early) // 2
        if middle.astimezone(zone).utcoffset() == after.utcoffset():
            late = middle
        else:
            early = middle
    return late.replace(microsecond=0).astimezone(zone)


def existing(wall: datetime, zone: ZoneInfo, span: Span | None) -> datetime:
    """The moment a naive ``wall`` time stands for; of a time that comes twice, its fold says which.

    Raises:
        InputError: the zone's clocks skip that time.
    """
    moment = settle(wall, zone, wall.fold)
    if moment.replace(tzinfo=None, fold=0) == wall.replace(fold=0):
        return moment
    raise InputError.one(
        "no-such-time",
        f"{wall:%H:%M} on {wall.date()} does not exist in {zone.key}: the clocks go forward then",
        span,
        f"after the change that moment is called {moment:%H:%M}; "
        "or give the time with its offset from UTC",
    )

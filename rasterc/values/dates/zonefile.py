"""When a zone's clocks change, read from its file (TZif, RFC 9636).

Python's `zoneinfo` answers for one moment at a time; a century of changes is asked for here. The
file lists changes up to some year and ends with a rule for all later ones (RFC 9636, 3.3; the rule
is that of POSIX, Base Definitions 8.3, with the hours that RFC 9636, 3.3.1 adds).
"""

from __future__ import annotations

import re
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import MINYEAR, UTC, date, datetime, timedelta
from functools import cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from zoneinfo import TZPATH

from rasterc.files import is_file

_HEADER = struct.Struct(">4s1s15x6l")
_RULE = re.compile(
    r"(?:[A-Za-z]+|<[^>]+>)(?P<std>[-+]?[\d:]+)"
    r"(?:(?:[A-Za-z]+|<[^>]+>)(?P<dst>[-+]?[\d:]+)?,(?P<begin>[^,]+),(?P<end>[^,]+))?"
)

Change = tuple[int, int]
"""Second since 1970-01-01 00:00 UTC, and seconds ahead of UTC from then on."""


@dataclass(frozen=True, slots=True)
class ZoneFile:
    """A zone's offset before its first change, its listed changes, and the rule after them."""

    first: int
    listed: tuple[Change, ...]
    rule: str

    def changes(self, year: int, last_year: int) -> Iterator[Change]:
        """Changes that are listed, then those of the rule, up to the end of ``last_year``."""
        yield from self.listed
        match = _RULE.fullmatch(self.rule)
        if match is None or match["begin"] is None:
            return
        listed_to = self.listed[-1][0] if self.listed else -(2**62)
        standard = -_seconds(match["std"])
        summer = standard + 3600 if match["dst"] is None else -_seconds(match["dst"])
        for at_year in range(max(year, MINYEAR), last_year + 1):
            both = (
                (_moment(match["begin"], at_year) - standard, summer),
                (_moment(match["end"], at_year) - summer, standard),
            )
            yield from (change for change in sorted(both) if change[0] > listed_to)


@cache
def read_zone(key: str) -> ZoneFile:
    """The file of a zone that `zoneinfo` knows, looked for where it looks."""
    data = zone_path(key).read_bytes()
    utc, std, leaps, times, kinds, names = _HEADER.unpack_from(data)[2:]
    # a block of version 1 with 32-bit times comes first, then the one that counts
    start = _HEADER.size + times * 5 + kinds * 6 + names + leaps * 8 + std + utc
    utc, std, leaps, times, kinds, names = _HEADER.unpack_from(data, start)[2:]
    at = start + _HEADER.size
    moments = struct.unpack_from(f">{times}q", data, at)
    indices = data[at + times * 8 : at + times * 9]
    at += times * 9
    offsets = [struct.unpack_from(">l", data, at + 6 * kind)[0] for kind in range(kinds)]
    end = at + kinds * 6 + names + leaps * 12 + std + utc
    listed = tuple((moment, offsets[k]) for moment, k in zip(moments, indices, strict=True))
    return ZoneFile(offsets[0], listed, data[end:].decode("ascii").strip("\n"))


def offsets_of(key: str, first: datetime, end: datetime) -> tuple[list[int], list[int]]:
    """Seconds at which a zone's offset changes between two moments, and its offsets in seconds.

    There is one offset more than changes: the first holds before the first change.
    """
    zone = read_zone(key)
    start, stop = int(first.timestamp()), int(end.timestamp())
    moments: list[int] = []
    offsets = [zone.first]
    for moment, offset in zone.changes(first.year - 1, end.year):
        if moment <= start:
            offsets = [offset]
        elif moment < stop and offset != offsets[-1]:
            moments.append(moment)
            offsets.append(offset)
    assert all(a < b for a, b in pairwise(moments))
    return moments, offsets


def zone_path(key: str) -> Path:
    """The file of a zone that is there, found as Python finds it."""
    for folder in TZPATH:
        path = Path(folder) / key
        if is_file(path):
            return path
    return Path(str(files("tzdata").joinpath("zoneinfo", *key.split("/"))))


def _seconds(text: str) -> int:
    """``-3``, ``5:30`` or ``167:00:00`` as seconds."""
    hours, minutes, seconds = (*text.lstrip("+-").split(":"), "0", "0")[:3]
    total = int(hours) * 3600 + int(minutes) * 60 + int(seconds)
    return -total if text.startswith("-") else total


def _moment(rule: str, year: int) -> int:
    """Seconds of the wall, since 1970-01-01, of ``M3.5.0/1``, ``J60`` or ``59`` in a year."""
    day, _, time = rule.partition("/")
    at = datetime.combine(_day(day, year), datetime.min.time(), UTC)
    return int(at.timestamp()) + (_seconds(time) if time else 7200)


def _day(rule: str, year: int) -> date:
    new_year = date(year, 1, 1)
    if rule[0] == "M":  # month, week (5 is the last), weekday from Sunday = 0
        month, week, weekday = map(int, rule[1:].split("."))
        first = date(year, month, 1)
        day = first + timedelta(days=(weekday - first.isoweekday()) % 7 + 7 * (week - 1))
        return day if day.month == month else day - timedelta(weeks=1)
    if rule[0] == "J":  # day of the year from 1, 29 February never counted
        number = int(rule[1:])
        leap = (date(year, 3, 1) - new_year).days == 60
        return new_year + timedelta(days=number - 1 + (leap and number >= 60))
    return new_year + timedelta(days=int(rule))

"""What could have printed some lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from heapq import merge
from zoneinfo import ZoneInfo

import numpy as np

from rasterc.tracing.candidates import joined
from rasterc.values.dates.offsets import Minutes, moment_of


@dataclass(frozen=True, slots=True)
class CounterRanges:
    """Values of a counter, as ranges; ``more`` when there are others still."""

    ranges: tuple[range, ...]
    more: bool = False


@dataclass(frozen=True, slots=True)
class Match:
    """A stretch of time that could have printed the lines, and with what.

    Attributes:
        start: the first moment, None for a message that reads no clock.
        until: the moment after the last, to the minute.
        counters: the values of each printed counter that was read.
        inputs: the texts of each printed input, `?` for a character that is not known.
    """

    start: datetime | None
    until: datetime | None
    counters: Mapping[str, CounterRanges]
    inputs: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Failure:
    """Why nothing can have printed the lines.

    ``line`` and ``place`` count from 0: up to that character a print is possible, and with it none
    is; -1 when no place can be told.
    """

    message: str
    line: int = -1
    place: int = -1


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Stretches of minutes of UTC, sorted, that go with the same counters and inputs."""

    starts: Minutes
    ends: Minutes
    counters: Mapping[str, CounterRanges]
    inputs: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, eq=False)
class TraceResult:
    """What could have printed some lines.

    Attributes:
        lines: what was read.
        groups: the matches, by the counters and inputs they go with.
        zone: the zone moments are given in; None for a message that reads no clock.
        start, until: the horizon searched.
        verified: False when check characters had too many possibilities to be worked out: some
            matches may then be wrong; none is missing.
        failure: why there is no match, where that was asked for.
    """

    lines: tuple[str, ...]
    groups: tuple[Group, ...]
    zone: ZoneInfo | None
    start: datetime | None
    until: datetime | None
    verified: bool = True
    failure: Failure | None = None

    def __repr__(self) -> str:
        """The lines and how often they can have been printed."""
        return f"<TraceResult {' / '.join(self.lines)}: {len(self)} time(s), {self.minutes} min>"

    def __len__(self) -> int:
        return sum(len(group.starts) for group in self.groups)

    @property
    def minutes(self) -> int:
        """Minutes that could have printed the lines, each counted once."""
        if self.zone is None or not self.groups:
            return 0
        starts = np.concatenate([group.starts for group in self.groups])
        ends = np.concatenate([group.ends for group in self.groups])
        order = np.argsort(starts, kind="stable")
        starts, ends = joined(starts[order], ends[order])
        return int((ends - starts).sum())

    def matches(self) -> Iterator[Match]:
        """Every match, in order of time."""
        for start, end, index in merge(*map(_numbered, self.groups, range(len(self.groups)))):
            group = self.groups[index]
            yield Match(self._moment(start), self._moment(end), group.counters, group.inputs)

    def _moment(self, minute: int) -> datetime | None:
        return None if self.zone is None else moment_of(minute).astimezone(self.zone)


def _numbered(group: Group, number: int) -> Iterator[tuple[int, int, int]]:
    for start, end in zip(group.starts, group.ends, strict=True):
        yield int(start), int(end), number

"""What could have printed a code that was read off a pack."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path

import numpy as np
from msgspec import Struct

from rasterc.source.declarations import Counter
from rasterc.tracing.matches import CounterRanges, Group, Match, TraceResult
from rasterc.values.dates.offsets import Minutes, minute_of, moment_of

Window = tuple[datetime, datetime]
"""From the first moment, and until the second, which is left out. Naive moments are wall times in
the zone of each message."""


class Misread(Struct, frozen=True):
    """A character that may have been misread.

    Attributes:
        text, place: which of the texts, and which of its characters, both from 0.
        read: the character that was read.
        printed: the one that may have been printed.
        chance: how often a general reader takes the printed one for the one read when drops are
            lost; 0 when it hardly ever does.
    """

    text: int
    place: int
    read: str
    printed: str
    chance: float


class Hit(Struct, frozen=True, eq=False):
    """A message that could have printed the texts.

    Attributes:
        file: its file.
        message: its name.
        on: the lines of the plant that it runs on.
        where: for each text the line of the code that it is, from 0.
        result: when, with which counters and inputs.
        counters: the counters of the message, by name.
        misread: of a code that only comes close, what would have to be misread.
    """

    file: Path
    message: str
    on: tuple[str, ...]
    where: tuple[int, ...]
    result: TraceResult
    counters: Mapping[str, Counter]
    misread: Misread | None = None

    @property
    def minutes(self) -> int:
        """Minutes that could have printed it; 0 for a message that reads no clock."""
        return self.result.minutes

    @property
    def combinations(self) -> tuple[int, bool]:
        """How many pairs of a minute and values of the counters read, and whether that is all."""
        parts = [_combinations(group) for group in self.result.groups]
        return sum(number for number, _ in parts), all(whole for _, whole in parts)

    def nearest(self, now: datetime) -> Iterator[Match]:
        """The matches, those nearest to ``now`` first, and those up to now before all later."""
        starts, ends, groups = self._stretches()
        minute, zone = minute_of(now), self.result.zone
        for index in np.lexsort((starts, _away(starts, ends, minute), starts > minute)).tolist():
            group = self.result.groups[groups[index]]
            begin, end = starts[index], ends[index]
            moments = [moment_of(int(m)).astimezone(zone) if zone else None for m in (begin, end)]
            yield Match(moments[0], moments[1], group.counters, group.inputs)

    def rank(self, now: datetime) -> tuple[int, int]:
        """Lower for what is likelier: printed up to now, at any time, only later; then the minutes
        between now and the nearest print."""
        if self.result.zone is None or self._is_always():
            return 1, 0
        starts, ends, _ = self._stretches()
        minute = minute_of(now)
        past = starts <= minute
        if past.any():
            return 0, int(_away(starts[past], ends[past], minute).min())
        return 2, int(starts.min()) - minute

    def _is_always(self) -> bool:
        """Whether every minute of the time searched could have printed it."""
        first, until = self.result.start, self.result.until
        assert first is not None and until is not None
        return self.minutes == minute_of(until) - minute_of(first)

    def _stretches(self) -> tuple[Minutes, Minutes, Minutes]:
        """Where stretches begin and end, and which group each belongs to."""
        groups = self.result.groups
        starts = np.concatenate([group.starts for group in groups])
        ends = np.concatenate([group.ends for group in groups])
        return starts, ends, np.repeat(np.arange(len(groups)), [len(g.starts) for g in groups])


def _away(starts: Minutes, ends: Minutes, minute: int) -> Minutes:
    """Minutes between a minute and stretches."""
    away: Minutes = np.maximum(np.maximum(starts - minute, minute - (ends - 1)), 0)
    return away


def _combinations(group: Group) -> tuple[int, bool]:
    number = int((group.ends - group.starts).sum())
    counters: Mapping[str, CounterRanges] = group.counters
    for found in counters.values():
        number *= sum(map(len, found.ranges))
    return number, not any(found.more for found in counters.values())


class Unsure(Struct, frozen=True):
    """A message, or a whole file, of which cannot be said whether it printed the texts.

    Attributes:
        file: the file.
        message: the message's name; None for the whole file.
        on: the lines of the plant that it runs on.
        why: why not, in a line.
    """

    file: Path
    message: str | None
    on: tuple[str, ...]
    why: str


class FindResult(Struct, frozen=True, eq=False):
    """What could have printed some texts.

    Attributes:
        texts: what was read.
        parts: whether the texts were taken as parts of lines, with more before or after them.
        hits: the messages that could have printed them, the likeliest first.
        unsure: those of which that cannot be said.
        messages: how many messages were looked at, those of unreadable files left out.
        window: the time that was searched.
        closest: when there is no hit, what differs from the texts in one character: these are no
            answers.
    """

    texts: tuple[str, ...]
    parts: bool
    hits: tuple[Hit, ...]
    unsure: tuple[Unsure, ...]
    messages: int
    window: Window
    closest: tuple[Hit, ...] = ()

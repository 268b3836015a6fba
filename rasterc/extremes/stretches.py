"""From cells to stretches in which one text goes on; see `runs`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.domain.calendar import FEATURES
from rasterc.domain.clockwork import Clockwork
from rasterc.domain.codes import Index, rows_of
from rasterc.domain.timeline import Timeline
from rasterc.extremes.clockgroup import minute_codes
from rasterc.extremes.joint import Joint
from rasterc.extremes.runs import Pattern, Stretches, pattern
from rasterc.source.declarations import Counter
from rasterc.values.dates.offsets import Flags, Minutes

_ABOVE_ANY_PART = 10_000


def restart_keys(timeline: Timeline, counter: Counter) -> Minutes:
    """What changes when a counter restarts, in each cell; see `values.restart_key`."""
    key = np.zeros(len(timeline), dtype=np.int64)
    if counter.restart_of is None:
        return key
    if counter.restart.of == "shift":
        return timeline.shifts[counter.restart_of].began.wall
    days = timeline.clocks[counter.restart_of].day
    first = int(days.min())
    every = np.arange(first, int(days.max()) + 1)  # each day once, not each cell
    key = np.zeros(len(every), dtype=np.int64)
    for part in counter.restart.parts:
        key = key * _ABOVE_ANY_PART + FEATURES[part](every)
    return key[days - first]


def stretches_of(
    work: Clockwork,
    days: Index,
    hidden: Index | None,
    joints: Sequence[Joint],
    counters: Sequence[Restarting],
    seconds: bool,
) -> Stretches:
    """The cells of a clockwork, joined where one text goes on and no counter restarts.

    ``days`` numbers the text in each cell, as far as it goes by the cell, and ``hidden`` what of
    it cannot be told: where that changes the text may go on or not.
    """
    line = work.timeline
    parts = np.zeros(len(line) - 1, dtype=np.bool_)
    for counter in counters:
        parts |= np.diff(counter.key) != 0
    same = (days[1:] == days[:-1]) & ~parts
    if hidden is not None:
        same &= hidden[1:] == hidden[:-1]
    kinds, codes = _kinds(work, joints) if work.by_minute else (None, [])
    if kinds is not None:
        same &= False if seconds else _goes_on(codes, kinds)
    begin = np.append(0, np.flatnonzero(~same) + 1)
    end = np.append(begin[1:], len(days))
    joined, patterns = _patterns(begin, end, kinds, codes, seconds)
    keys = [counter.key[begin] for counter in counters if counter.pinned]
    parted = np.append(True, parts)[begin] | seconds
    return Stretches(
        line.starts[begin], line.ends[end - 1], begin, days[begin], joined, patterns, keys, parted
    )


def _kinds(work: Clockwork, joints: Sequence[Joint]) -> tuple[Index, list[Minutes]]:
    """Which kind of cell each is, and the numbers of the texts at each minute of every kind."""
    types = np.zeros(len(work.timeline), dtype=np.intp)
    for number, kind in enumerate(work.types):
        types[kind.cells] = number
    joined = {atom for joint in joints for atom in joint.atoms}
    plain = [printed for printed in work.by_minute if printed.atom not in joined]
    codes = [minute_codes(plain, kind) for kind in work.types]
    if not joints:
        return types, codes
    first, kinds = rows_of([types, *(joint.row for joint in joints)], len(types))
    found: list[Minutes] = []
    for cell in first:
        kind, code = work.types[types[cell]], codes[types[cell]]
        for joint in joints:
            code = code * (int(joint.numbers.max()) + 1) + joint.codes(int(cell), kind)
        found.append(code)
    return kinds, found


@dataclass(frozen=True, slots=True)
class Restarting:
    """A counter that prints no number twice until its ``key``, one for each cell, has changed.

    ``pinned`` tells that a text tells its number.
    """

    counter: Counter
    key: Minutes
    pinned: bool


def _goes_on(codes: Sequence[Minutes], kinds: Index) -> Flags:
    """Whether one of two neighbouring cells prints a single text that the other goes on with."""
    single = np.array([bool((code == code[0]).all()) for code in codes])
    first = np.array([code[0] for code in codes])[kinds]
    last = np.array([code[-1] for code in codes])[kinds]
    goes_on: Flags = (last[:-1] == first[1:]) & (single[kinds[:-1]] | single[kinds[1:]])
    return goes_on


def _patterns(
    begin: Index,
    end: Index,
    kinds: Index | None,
    codes: Sequence[Minutes],
    seconds: bool,
) -> tuple[Index | None, list[Pattern]]:
    """Which pattern each stretch of cells follows, and the patterns."""
    if kinds is None:
        return None, []
    known: dict[tuple[int, ...], int] = {(kind,): kind for kind in range(len(codes))}
    joined = kinds[begin].copy()
    for at in np.flatnonzero(end - begin > 1):
        members = tuple(kinds[begin[at] : end[at]].tolist())
        joined[at] = known.setdefault(members, len(known))
    rows = [np.concatenate([codes[kind] for kind in members]) for members in known]
    return joined, [pattern(row, seconds) for row in rows]

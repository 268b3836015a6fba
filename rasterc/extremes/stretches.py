"""From cells to stretches in which one text goes on; see `runs`."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from rasterc.extremes.calendar import FEATURES
from rasterc.extremes.clockgroup import minute_codes, text_codes
from rasterc.extremes.clockwork import Clockwork, firsts
from rasterc.extremes.runs import Stretches, pattern
from rasterc.extremes.timeline import Timeline
from rasterc.source.message import Counter, Restart
from rasterc.values.offsets import Flags, Minutes


def restart_keys(timeline: Timeline, counter: Counter) -> Minutes:
    """What changes when a counter restarts, in each cell; see `values.restart_key`."""
    assert counter.restart_of is not None
    if counter.restart is Restart.SHIFT:
        return timeline.shift(counter.restart_of).began
    day = timeline.clock(counter.restart_of).day
    if counter.restart is Restart.DAILY:
        return day
    year = FEATURES["year"](day)
    return year if counter.restart is Restart.YEARLY else year * 12 + FEATURES["month"](day)


def stretches_of(work: Clockwork, keys: Sequence[Minutes], seconds: bool) -> Stretches:
    """The cells of a clockwork, joined where one text goes on and no counter restarts."""
    line = work.timeline
    days = firsts(text_codes(work.by_cell, len(line)))[1]
    same = days[1:] == days[:-1]
    for key in keys:
        same &= key[1:] == key[:-1]
    if not work.by_minute:
        return _joined(line, days, keys, same)
    kinds = np.zeros(len(line), dtype=np.intp)
    for number, kind in enumerate(work.types):
        kinds[kind.cells] = number
    codes = [minute_codes(work.by_minute, kind) for kind in work.types]
    if not seconds:
        same &= _goes_on(codes, kinds)
    return _joined(line, days, keys, same if not seconds else same & False, kinds, codes, seconds)


def _goes_on(codes: Sequence[Minutes], kinds: NDArray[np.intp]) -> Flags:
    """Whether one of two neighbouring cells prints a single text that the other goes on with."""
    single = np.array([bool((code == code[0]).all()) for code in codes])
    first = np.array([code[0] for code in codes])[kinds]
    last = np.array([code[-1] for code in codes])[kinds]
    goes_on: Flags = (last[:-1] == first[1:]) & (single[kinds[:-1]] | single[kinds[1:]])
    return goes_on


def _joined(
    line: Timeline,
    days: NDArray[np.intp],
    keys: Sequence[Minutes],
    joins: Flags,
    kinds: NDArray[np.intp] | None = None,
    codes: Sequence[Minutes] = (),
    seconds: bool = False,
) -> Stretches:
    """Stretches of cells; ``joins`` tells which cells go on into the next."""
    begin = np.append(0, np.flatnonzero(~joins) + 1)
    end = np.append(begin[1:], len(days))
    starts, ends = line.starts[begin], line.ends[end - 1]
    keys = [key[begin] for key in keys]
    if kinds is None:
        return Stretches(starts, ends, days[begin], None, (), keys)
    known: dict[tuple[int, ...], int] = {(kind,): kind for kind in range(len(codes))}
    joined = kinds[begin].copy()
    for at in np.flatnonzero(end - begin > 1):
        members = tuple(kinds[begin[at] : end[at]].tolist())
        joined[at] = known.setdefault(members, len(known))
    patterns = [
        pattern(np.concatenate([codes[kind] for kind in members]), seconds) for members in known
    ]
    return Stretches(starts, ends, days[begin], joined, patterns, keys, seams_join=not seconds)

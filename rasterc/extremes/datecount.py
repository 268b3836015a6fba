"""How many distinct texts the clocks of a message and a typed date have together."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.codes import firsts, rows_of
from rasterc.domain.printer import text_codes
from rasterc.extremes.clockgroup import ClockGroup, minute_codes
from rasterc.values.dates.offsets import Minutes

MAX_PAIRS = 4_000_000  # texts of a date with those of a minute that are held against each other

Sets = NDArray[np.bool_]
"""Which of its distinct texts a date has in each kind of window, shape (kinds, texts)."""

_Parts = list[tuple[int, int]]
"""Kinds of windows and types of cells, by number."""


def distinct_texts(clocks: ClockGroup, kind: NDArray[np.intp], sets: Sets) -> int | None:
    """The distinct texts of both together; None when that is too much to work out.

    Args:
        clocks: the minutes.
        kind: the kind of window of each cell.
        sets: what each kind holds.
    """
    times = [np.unique(minute_codes(clocks.work.by_minute, t)) for t in clocks.work.types]
    total = 0
    for parts in _by_day(clocks, kind):
        some = _texts_of(parts, sets, times)
        if some is None:
            return None
        total += some
    return total


def _by_day(clocks: ClockGroup, kind: NDArray[np.intp]) -> Iterator[_Parts]:
    """For each text by the cell the windows and types of its cells, each pair once."""
    work = clocks.work
    day = firsts(text_codes(work.by_cell, len(work.timeline)))[1]
    of_cell = np.zeros(len(day), np.intp)
    for number, each in enumerate(work.types):
        of_cell[each.cells] = number
    found: dict[int, _Parts] = {}
    for at in rows_of((day, kind, of_cell), len(day))[0].tolist():
        found.setdefault(int(day[at]), []).append((int(kind[at]), int(of_cell[at])))
    yield from found.values()


def _texts_of(parts: _Parts, sets: Sets, times: list[Minutes]) -> int | None:
    kinds, types = {kind for kind, _ in parts}, {number for _, number in parts}
    if len(kinds) == 1 or len(types) == 1:  # what is one of many goes with all of the other
        dates = np.logical_or.reduce([sets[kind] for kind in kinds])
        return int(dates.sum()) * len(_united(times[number] for number in types))
    if sum(int(sets[kind].sum()) * len(times[number]) for kind, number in parts) > MAX_PAIRS:
        return None
    most = max(int(times[number].max()) for number in types) + 1
    pairs = [
        (np.flatnonzero(sets[kind])[:, None] * most + times[number]).ravel()
        for kind, number in parts
    ]
    return len(_united(pairs))


def _united(some: Iterable[Minutes]) -> Minutes:
    return np.unique(np.concatenate(list(some)))

"""Codes that are printed twice, found exactly: on disk, in bounded memory."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.hashing import GROUPS, RECORD
from rasterc.files.working import open_kept

LIMIT = 1000
"""Repeats that are told, at most."""
_AT_ONCE = 1 << 22
_COMPARED = 4096

Lines = tuple[str, ...]
Texts = Callable[[Sequence[int]], dict[int, Lines]]
"""The lines of rows, by number."""


@dataclass(frozen=True, slots=True)
class Repeat:
    """Rows, counted from 1, that print the same: the first, and one after it.

    ``of`` is the output of the earlier batch that the first belongs to, "" for this one.
    """

    first: int
    again: int
    lines: Lines
    of: str = ""


def within(records: NDArray[np.void]) -> Iterator[list[int]]:
    """Rows of equal hash among sorted records, the rows of each hash together."""
    hashes = records["hash"]
    same = np.append(hashes[1:] == hashes[:-1], False)
    starts = np.flatnonzero(same & ~np.append(False, same[:-1]))
    for start in starts.tolist():
        end = start + 1
        while end < len(records) and hashes[end] == hashes[start]:
            end += 1
        yield sorted(records["row"][start:end].tolist())


def compared(suspects: Iterable[list[int]], texts: Texts, limit: int = LIMIT) -> list[Repeat]:
    """Those of rows with equal hashes whose lines are equal."""
    found: list[Repeat] = []
    for group in _grouped(suspects):
        known = texts([row for rows in group for row in rows])
        found += [repeat for rows in group for repeat in _same(rows, known)]
        if len(found) >= limit:
            break
    return found[:limit]


def _grouped(suspects: Iterable[list[int]]) -> Iterator[list[list[int]]]:
    """Suspects, so many rows at a time that their lines can be held."""
    group: list[list[int]] = []
    for rows in suspects:
        group.append(rows[:_COMPARED])
        if sum(map(len, group)) >= _COMPARED:
            yield group
            group = []
    if group:
        yield group


def _same(rows: list[int], known: dict[int, Lines]) -> Iterator[Repeat]:
    firsts: dict[Lines, int] = {}
    for row in rows:
        first = firsts.setdefault(known[row], row)
        if first != row and row > 0:  # rows of earlier batches are below 0
            yield Repeat(first, row, known[row])


def across(files: Sequence[Path]) -> Iterator[list[int]]:
    """Rows of equal hash among the records of several files, see `rasterc.batch.hashing.packed`."""
    edges = [_edges(path) for path in files]
    total = sum(int(each[-1]) for each in edges)
    step = max(1, GROUPS * _AT_ONCE // max(total, 1))
    for low in range(0, GROUPS, step):
        high = min(low + step, GROUPS)
        pairs = zip(files, edges, strict=True)
        parts = [_slice(path, int(each[low]), int(each[high])) for path, each in pairs]
        records = np.concatenate(parts)
        yield from within(records[np.argsort(records["hash"])])


def _edges(path: Path) -> NDArray[np.uint64]:
    with open_kept(path) as file:
        return np.frombuffer(file.read(8 * (GROUPS + 1)), "<u8")


def _slice(path: Path, first: int, end: int) -> NDArray[np.void]:
    with open_kept(path) as file:
        file.seek(8 * (GROUPS + 1) + first * RECORD.itemsize)
        return np.frombuffer(file.read((end - first) * RECORD.itemsize), RECORD)

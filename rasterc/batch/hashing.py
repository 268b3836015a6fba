"""A number for each row's code, by which equal codes are found.

Sums of products that are spread out by shifts, over the words of all lines and their lengths. Equal
codes have equal numbers; codes of equal numbers are compared text by text (`repeats`).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.block import padded
from rasterc.batch.columns import Column

Hashes = NDArray[np.uint64]
RECORD = np.dtype([("hash", "<u8"), ("row", "<i8")])
GROUPS = 256
"""Groups of numbers by their highest byte."""
_SHIFT = np.uint64(29)


def hashes_of(words: Sequence[Sequence[Column]], rows: int) -> Hashes:
    """The number of each row's lines."""
    sums = np.zeros(rows, np.uint64)
    for line, columns in enumerate(words):
        memory, lengths = padded(columns, rows)
        sums += _mixed(np.asarray(lengths, np.uint64) + np.uint64(1), _factor(line, 0))
        for place in range(memory.shape[1]):
            sums += _mixed(memory[:, place], _factor(line, place + 1))
    return _mixed(sums, np.uint64(0x9E3779B97F4A7C15))


def _mixed(words: Hashes, factor: np.uint64) -> Hashes:
    with np.errstate(over="ignore"):
        spread = words * factor
        mixed: Hashes = (spread ^ (spread >> _SHIFT)) * np.uint64(0xBF58476D1CE4E5B9)
    return mixed


@cache
def _factor(line: int, place: int) -> np.uint64:
    """An odd number, the same in every process: of the bits of a known generator."""
    return np.uint64(int(np.random.PCG64([line, place]).random_raw()) | 1)


def sorted_records(hashes: Hashes, numbers: NDArray[np.int64]) -> NDArray[np.void]:
    """Hashes and row numbers, by hash."""
    records = np.empty(len(hashes), RECORD)
    order = np.argsort(hashes)
    records["hash"], records["row"] = hashes[order], numbers[order]
    return records


def packed(records: NDArray[np.void]) -> bytes:
    """Sorted records behind a table of where each group begins."""
    groups = (records["hash"] >> np.uint64(56)).astype(np.int64)
    edges = np.searchsorted(groups, np.arange(GROUPS + 1)).astype("<u8")
    return edges.tobytes() + records.tobytes()

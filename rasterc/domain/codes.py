"""Numbers for what differs: rows of arrays told apart, where each comes first."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from rasterc.values.dates.offsets import Minutes

Index = NDArray[np.intp]


def compressed(code: Minutes) -> Minutes:
    """The same distinctions in numbers from 0 up, in the same order, without large ones."""
    if len(code) and int(code.max()) < 1 << 20:
        return code
    return np.unique(code, return_inverse=True)[1].reshape(code.shape).astype(np.int64)


def firsts(code: Minutes) -> tuple[Index, Index]:
    """Where each value of ``code`` (not below 0) comes first, in that order of values; and, for
    each element, which of these values it is."""
    if int(code.max()) < max(1 << 16, 4 * len(code)):
        place = np.full(int(code.max()) + 1, -1, dtype=np.intp)
        place[code[::-1]] = np.arange(len(code) - 1, -1, -1)  # the first comes last, and stays
        values = np.flatnonzero(place >= 0)
        number = np.empty(len(place), dtype=np.intp)
        number[values] = np.arange(len(values))
        return place[values], number[code]
    _, first, which = np.unique(code, return_index=True, return_inverse=True)
    return first, which


def codes_of(columns: Iterable[Minutes], length: int) -> Minutes:
    """One number, not below 0, for each distinct row of some columns; rows are ordered as they."""
    code: Minutes | None = None
    for column in columns:
        low, high = int(column.min()), int(column.max())
        if high == low:
            continue
        from_0 = column - low if low else column
        code = from_0 if code is None else compressed(code * (high - low + 1) + from_0)
    return np.zeros(length, dtype=np.int64) if code is None else code


def rows_of(columns: Iterable[Minutes], length: int) -> tuple[Index, Index]:
    """Where each distinct row of some columns comes first, rows in order; which each row is."""
    return firsts(codes_of(columns, length))

"""Numbers as columns: so many digits at a time, so that a small table holds all there are."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.columns import Column, Kept, Table, by_row, constant
from rasterc.source.declarations import DIGITS_36

_LARGEST = 1500
"""Numbers a table holds at most, twice: with and without leading zeros."""


def numerals(
    values: NDArray[np.int64],
    kept: Kept,
    digits: str = DIGITS_36[:10],
    width: int = 0,
    fill: str = "0",
) -> list[Column]:
    """Whole numbers, not below 0, written in some digits and filled up on the left to ``width``.

    The same texts as `rasterc.values.given.counters.text_of` and `str.rjust`. Tables are kept in
    ``kept``.
    """
    return list(_groups(values, kept, digits, width, fill))[::-1]


def _groups(
    values: NDArray[np.int64], kept: Kept, digits: str, width: int, fill: str
) -> Iterator[Column]:
    """The groups of digits from the right, and what fills up before them."""
    group = _group_size(len(digits))
    size, place, rest = len(digits) ** group, 0, values
    while place == 0 or rest.any():
        higher, part = np.divmod(rest, size)
        form = digits, group, min(group, max(0, width - place)), fill, place == 0
        table = kept.once(("digits", *form), partial(_table, *form))
        yield _column(table, part + size * (higher > 0))
        rest, place = higher, place + group
    if width > place:
        yield constant(fill * (width - place))


def _column(table: Table, ids: NDArray[np.int64]) -> Column:
    if ids[0] == ids[-1] and (ids == ids[0]).all():
        return Column(table, ids[:1].astype(np.intp))
    return by_row(table, ids.astype(np.intp))


def _group_size(base: int) -> int:
    size = 1
    while base ** (size + 1) <= _LARGEST:
        size += 1
    return size


def _table(digits: str, group: int, width: int, fill: str, last: bool) -> Table:
    """Texts of a group: first without leading zeros, filled up to ``width``; then in full."""
    full = list(_full(digits, group))
    bare = [text.lstrip(digits[0]) for text in full]
    if last and not bare[0]:
        bare[0] = digits[0]
    return Table((*(text.rjust(width, fill) for text in bare), *full), lasts=True)


def _full(digits: str, group: int) -> Iterator[str]:
    if not group:
        yield ""
        return
    for head in _full(digits, group - 1):
        for digit in digits:
            yield head + digit

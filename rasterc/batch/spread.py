"""Putting many short pieces of memory to their places at once.

A row of pieces, each of so many bytes, is one array whose elements are that long and overlap: what
numpy copies for one index is then a whole piece.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.codes import Index

Bytes = NDArray[np.uint8]
_FEW = 16


def windows(memory: Bytes, size: int) -> NDArray[np.void]:
    """Every run of ``size`` bytes of a memory, one beginning at each of its bytes."""
    return np.ndarray((len(memory) - size + 1,), f"V{size}", memory, 0, (1,))


def spread(to: Bytes, at: Index, source: Bytes, begin: Index | int, size: Index | int) -> None:
    """Copy pieces: ``size`` bytes from ``begin`` of the source to ``at``, for each row.

    What goes to different rows must not overlap.
    """
    if isinstance(size, int):
        if size:
            windows(to, size)[at] = windows(source, size)[begin]
        return
    for width, rows in _by_width(size):
        start = begin if isinstance(begin, int) else begin[rows]
        windows(to, width)[at[rows]] = windows(source, width)[start]


def _by_width(sizes: Index) -> Iterator[tuple[int, Index]]:
    """The rows of each size that is not 0."""
    widths = np.flatnonzero(np.bincount(sizes))
    if len(widths) <= _FEW:
        for width in widths[widths > 0].tolist():
            yield width, np.flatnonzero(sizes == width)
        return
    order = np.argsort(sizes, kind="stable")
    edges = np.searchsorted(sizes[order], [*widths, widths[-1] + 1])
    for width, low, high in zip(widths.tolist(), edges[:-1], edges[1:], strict=True):
        if width:
            yield width, order[low:high]


@dataclass(frozen=True, slots=True, eq=False)
class Ragged:
    """Rows of different length, one behind another.

    Attributes:
        offsets: where each row begins in ``data``, and where the last one ends; shape (rows + 1,).
        data: the rows.
    """

    offsets: NDArray[np.int64]
    data: NDArray[np.uint8] | NDArray[np.uint16]

    def __len__(self) -> int:
        return len(self.offsets) - 1

    def __getitem__(self, row: int) -> NDArray[np.uint8] | NDArray[np.uint16]:
        return self.data[self.offsets[row] : self.offsets[row + 1]]

    @property
    def lengths(self) -> NDArray[np.int64]:
        """The length of each row."""
        return np.diff(self.offsets)


def offsets_of(lengths: Index | int, rows: int) -> NDArray[np.int64]:
    """Where rows of these lengths begin, and where the last one ends."""
    if isinstance(lengths, int):
        return np.arange(rows + 1, dtype=np.int64) * lengths
    out = np.zeros(rows + 1, np.int64)
    np.cumsum(lengths, out=out[1:])
    return out


@dataclass(frozen=True, slots=True, eq=False)
class Tokens:
    """Pieces of memory by number.

    Attributes:
        memory: all of them, one behind another.
        begin: where each begins.
        size: bytes of each.
        even: their one size, None when they differ.
    """

    memory: Bytes
    begin: Index
    size: Index
    even: int | None

    def sizes(self, ids: Index | int) -> Index | int:
        """Bytes of the pieces of these numbers."""
        if isinstance(ids, int):
            return int(self.size[ids])
        return self.size[ids] if self.even is None else self.even


def tokens_of(pieces: list[bytes]) -> Tokens:
    """Pieces made ready."""
    size = np.array([len(piece) for piece in pieces], np.intp)
    begin = np.cumsum(size) - size
    memory = np.frombuffer(b"".join(pieces), np.uint8)
    even = int(size[0]) if len(size) and (size == size[0]).all() else None
    return Tokens(memory, begin, size, even)

"""Groups: what varies together, apart from all other groups.

A group answers two questions about a meter: which vectors its atoms can add to the total, and
which of its assignments comes first among those that add one of some vectors.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.weighing import TooManyVectorsError
from rasterc.domain.words import Count
from rasterc.extremes.meter import Meter, Vectors

HIGHEST, LOWEST = 1, -1
"""Whether the most or the least of a measure is looked for."""

MAX_VECTORS = 1_000_000
"""Sums of vectors of one group with those of another that are gone through."""


@dataclass(frozen=True, slots=True)
class Assignment:
    """Values of some variables; ``minute`` and ``second`` are None when they do not matter."""

    minute: int | None = None
    second: int | None = None
    counters: Mapping[str, int] = field(default_factory=dict)
    inputs: Mapping[str, str] = field(default_factory=dict)

    @property
    def order(self) -> tuple[object, ...]:
        """What values are ordered by: time first, then counters, then inputs by length."""
        texts = tuple((len(text), text) for text in self.inputs.values())
        times = (self.minute or 0, self.second or 0)
        return (*times, *self.counters.values(), *texts)

    def joined(self, other: Assignment) -> Assignment:
        """Both, which assign different variables."""
        return Assignment(
            self.minute if other.minute is None else other.minute,
            self.second if other.second is None else other.second,
            {**self.counters, **other.counters},
            {**self.inputs, **other.inputs},
        )


class Group(Protocol):
    """What varies together."""

    def vectors(self, meter: Meter, sense: int, /) -> Vectors:
        """Distinct vectors of the group, ascending; of a meter with one slot only the best."""

    def first(self, meter: Meter, sense: int, wanted: Vectors, /) -> tuple[Assignment, Vectors]:
        """The first assignment that adds one of ``wanted``, and that vector, shape (1, slots).

        ``wanted`` are some of the vectors.
        """

    def count(self) -> Count:
        """How many distinct texts its atoms have together."""


def distinct(vectors: Vectors) -> tuple[Vectors, NDArray[np.intp]]:
    """Distinct rows, ascending, and where each comes first."""
    if vectors.shape[1] == 1:
        values, first = np.unique(vectors[:, 0], return_index=True)
        return values[:, None], first
    rows, first = np.unique(vectors, axis=0, return_index=True)
    return rows, first


def best(vectors: Vectors, sense: int) -> Vectors:
    """Rows that no other row beats in every slot."""
    if vectors.shape[1] == 1:
        extreme = vectors.max() if sense == HIGHEST else vectors.min()
        return np.array([[extreme]], dtype=np.int64)
    rows = distinct(vectors)[0]
    if vectors.shape[1] == 2:
        return _unbeaten_pairs(rows, sense)
    if len(rows) > _MANY:
        return rows
    beaten = np.array([_is_beaten(row, rows, sense) for row in rows], dtype=np.bool_)
    return rows[~beaten]


_FEW = 16  # rows that all others are compared with one by one
_MANY = 4000  # rows that it does not pay to compare with each other


def _unbeaten_pairs(rows: Vectors, sense: int) -> Vectors:
    """As `best` for two slots: going down in the first, the second has to rise."""
    down = (sense * rows)[::sense][::-1]
    ahead = np.maximum.accumulate(down[:, 1])
    rises = np.concatenate([[True], down[1:, 1] > ahead[:-1]])
    kept: Vectors = sense * down[rises][::-sense]
    return kept


def _is_beaten(row: NDArray[np.int64], rows: Vectors, sense: int) -> bool:
    ahead = sense * (rows - row)
    return bool(((ahead >= 0).all(axis=1) & (ahead > 0).any(axis=1)).any())


def sums(some: Vectors, more: Vectors) -> Vectors:
    """Every row of one added to every row of the other.

    Raises:
        TooManyVectorsError: there are more than `MAX_VECTORS`.
    """
    if len(some) * len(more) > MAX_VECTORS:
        raise TooManyVectorsError
    return (some[:, None, :] + more[None, :, :]).reshape(-1, some.shape[1])


def contains(wanted: Vectors, rows: Vectors) -> NDArray[np.bool_]:
    """Which of ``rows`` are among ``wanted``."""
    if len(wanted) <= _FEW:
        among = np.zeros(len(rows), np.bool_)
        for row in wanted:
            among |= (rows == row).all(axis=1)
        return among
    known = {tuple(row) for row in wanted.tolist()}
    return np.fromiter((tuple(row) in known for row in rows.tolist()), np.bool_, len(rows))

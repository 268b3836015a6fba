"""The values of some rows: what a block is compiled from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.columns import Column, by_row
from rasterc.domain.codes import Index
from rasterc.values import Instant

MICROS = 1_000_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

Micros = NDArray[np.int64]
"""Moments in microseconds since 1970-01-01 00:00 UTC."""


@dataclass(frozen=True, slots=True, eq=False)
class Rows:
    """Some rows of a job.

    Attributes:
        numbers: of the rows, counted from 1 over the whole job; shape (n,).
        at: the moments, None when the message is told none.
        counters: the value each counter prints; one that is not told prints its first.
        inputs: the texts of the inputs that are told; None for a row that tells none.
        lines: of a file, on which the rows stand.
    """

    numbers: NDArray[np.int64]
    at: Micros | None = None
    counters: Mapping[str, NDArray[np.int64]] = field(default_factory=dict)
    inputs: Mapping[str, Column] = field(default_factory=dict)
    lines: NDArray[np.int64] | None = None

    def __len__(self) -> int:
        return len(self.numbers)

    def take(self, which: Index) -> Rows:
        """Some of the rows."""
        return Rows(
            self.numbers[which],
            None if self.at is None else self.at[which],
            {name: values[which] for name, values in self.counters.items()},
            {name: _taken(column, which) for name, column in self.inputs.items()},
            None if self.lines is None else self.lines[which],
        )

    def instant(self, row: int) -> Instant:
        """What one of the rows tells."""
        texts = {name: _text(column, row) for name, column in self.inputs.items()}
        return Instant(
            None if self.at is None else moment_at(int(self.at[row])),
            {name: int(values[row]) for name, values in self.counters.items()},
            {name: text for name, text in texts.items() if text is not None},
        )


def _taken(column: Column, which: Index) -> Column:
    ids = column.of_rows()
    return column if isinstance(ids, int) else by_row(column.table, ids[which])


def _text(column: Column, row: int) -> str | None:
    ids = column.of_rows()
    return column.table.texts[ids if isinstance(ids, int) else int(ids[row])]


def micros_of(moment: datetime) -> int:
    """A moment with an offset, in microseconds."""
    return (moment - _EPOCH) // timedelta(microseconds=1)


def moment_at(micros: int) -> datetime:
    """The moment, in UTC."""
    return _EPOCH + timedelta(microseconds=micros)

"""What came of some rows: their values, texts and strokes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.columns import Column, coalesced, of_texts, spelled
from rasterc.batch.rows import Rows
from rasterc.batch.spread import Bytes, Ragged, Tokens, offsets_of, spread, tokens_of
from rasterc.diagnostics import Diagnostic
from rasterc.domain.codes import Index

if TYPE_CHECKING:
    import pyarrow


@dataclass(frozen=True, slots=True)
class Refused:
    """A row that cannot be printed, counted from 1, and why; its line in a file, 0 for none."""

    number: int
    diagnostics: tuple[Diagnostic, ...]
    line: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """The rows that can be printed of some rows of a job.

    Attributes:
        rows: their numbers, moments and counters.
        inputs: the texts of the inputs as they are printed.
        words: of each line, in order, the columns of its text.
        strokes: of each row, uint16; bit r is raster row r.
        refused: the rows that cannot be printed.
        one_by_one: how many rows were resolved by themselves, for columns could not tell them.
    """

    rows: Rows
    inputs: Mapping[str, Column]
    words: tuple[tuple[Column, ...], ...]
    strokes: Ragged
    refused: tuple[Refused, ...] = ()
    one_by_one: int = 0

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def numbers(self) -> NDArray[np.int64]:
        """The number of each row, counted from 1 over the whole job."""
        return self.rows.numbers

    def texts(self, line: int) -> list[str]:
        """The text of a line, counted from 0, in each row."""
        return decoded(written(self.words[line], len(self)))

    def lines(self, row: int) -> tuple[str, ...]:
        """The texts of all lines of a row, counted from 0 in this block."""
        return tuple(self.texts(line)[row] for line in range(len(self.words)))

    def arrow(self) -> pyarrow.RecordBatch:
        """The block as an Arrow record batch: what pandas and polars read.

        Columns: ``row``, ``at`` (UTC) where a moment is told, ``counter.NAME``, ``input.NAME``,
        ``line.N`` from 1, and ``strokes``, lists of uint16.

        Raises:
            InputError: pyarrow is not installed.
        """
        from rasterc.batch.arrow import record_batch

        return record_batch(self)


Form = Callable[[str], bytes]


def utf8(text: str) -> bytes:
    """A text as it is."""
    return text.encode()


def written(columns: Sequence[Column], rows: int, form: Form = utf8) -> Ragged:
    """The joined texts of columns in each row, as bytes; ``form`` turns a text into bytes."""
    ready = _ready(columns, rows, form)
    offsets = offsets_of(_length(ready), rows)
    memory = np.empty(int(offsets[-1]), np.uint8)
    _write(ready, memory, offsets[:-1])
    return Ragged(offsets, memory)


def padded(columns: Sequence[Column], rows: int) -> tuple[NDArray[np.uint64], Index | int]:
    """The same in rows of one length, filled up with zeros to whole words; and their lengths."""
    ready = _ready(columns, rows, utf8)
    lengths = _length(ready)
    words = (int(np.max(lengths)) + 7) // 8
    memory = np.zeros(rows * words * 8, np.uint8)
    _write(ready, memory, np.arange(rows) * (words * 8))
    return memory.view(np.uint64).reshape(rows, words), lengths


_Ready = list[tuple[Tokens, Index | int, Index | int]]


def _ready(columns: Sequence[Column], rows: int, form: Form) -> _Ready:
    """Tokens, the number of each row's, and their sizes."""
    parts = [part for column in coalesced(columns, rows) for part in spelled(column)]
    pairs = [(_tokens(part, form), part.of_rows()) for part in parts]
    return [(tokens, ids, tokens.sizes(ids)) for tokens, ids in pairs]


def _length(ready: _Ready) -> Index | int:
    return sum((size for _, _, size in ready), start=0)


def _write(ready: _Ready, memory: Bytes, at: Index) -> None:
    for tokens, ids, size in ready:
        begin = int(tokens.begin[ids]) if isinstance(ids, int) else tokens.begin[ids]
        spread(memory, at, tokens.memory, begin, size)
        at = at + size


def _tokens(column: Column, form: Form) -> Tokens:
    def make() -> Tokens:
        return tokens_of([form(text or "") for text in column.table.texts])

    return column.table.once(("written", form), make)


def decoded(texts: Ragged) -> list[str]:
    """Texts of rows as Python has them."""
    whole, edges = texts.data.tobytes(), texts.offsets.tolist()
    return [whole[a:b].decode() for a, b in pairwise(edges)]


def woven(one: Block, other: Block) -> Block:
    """The rows of two blocks of one message in the order of their numbers."""
    if not len(other):
        return replace(one, refused=one.refused + other.refused)
    order = np.argsort(np.concatenate([one.numbers, other.numbers]), kind="stable")
    numbers = [*range(len(one.words))]
    return Block(
        _joined_rows(one.rows, other.rows).take(order),
        {n: _joined(one.inputs[n], other.inputs[n], one, other, order) for n in one.inputs},
        tuple((_texts(one.texts(n) + other.texts(n), order),) for n in numbers),
        _joined_strokes(one.strokes, other.strokes, order),
        one.refused + other.refused,
        one.one_by_one + other.one_by_one,
    )


def _texts(texts: Sequence[str | None], order: NDArray[np.intp]) -> Column:
    return of_texts([texts[place] for place in order.tolist()])


def _joined(a: Column, b: Column, one: Block, other: Block, order: NDArray[np.intp]) -> Column:
    return _texts(a.listed(len(one)) + b.listed(len(other)), order)


def _joined_rows(one: Rows, other: Rows) -> Rows:
    at = None if one.at is None or other.at is None else np.concatenate([one.at, other.at])
    counters = {n: np.concatenate([one.counters[n], other.counters[n]]) for n in one.counters}
    return Rows(np.concatenate([one.numbers, other.numbers]), at, counters)


def _joined_strokes(one: Ragged, other: Ragged, order: NDArray[np.intp]) -> Ragged:
    rows = [one[n] for n in range(len(one))] + [other[n] for n in range(len(other))]
    chosen = [rows[place] for place in order.tolist()]
    offsets = offsets_of(np.array([len(row) for row in chosen], np.intp), len(chosen))
    return Ragged(offsets, np.concatenate(chosen) if chosen else np.empty(0, "<u2"))

"""The cells of a row as text, for kinds that are text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np

from rasterc.batch.block import Block, Form, written
from rasterc.batch.columns import Column, Kept, Table, by_row, constant
from rasterc.batch.digits import numerals
from rasterc.batch.rows import MICROS, Micros
from rasterc.batch.spread import Ragged, offsets_of, spread
from rasterc.domain.codes import Index

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_HEX = "0123456789abcdef"


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell of every row: its name, its columns, and whether it is a text and no number."""

    name: str
    columns: Sequence[Column]
    is_text: bool = True


def cells_of(block: Block, kept: Kept) -> Iterator[Cell]:
    """The cells of a block in order, but for its strokes."""
    yield Cell("row", numerals(block.numbers, kept), False)
    if block.rows.at is not None:
        yield Cell("at", moments(block.rows.at, kept))
    for name, values in block.rows.counters.items():
        yield Cell(f"counter.{name}", numerals(values, kept), False)
    for name, column in block.inputs.items():
        yield Cell(f"input.{name}", [column])
    for number, words in enumerate(block.words, 1):
        yield Cell(f"line.{number}", words)


def moments(at: Micros, kept: Kept) -> list[Column]:
    """Moments as ISO 8601 texts in UTC; with microseconds when a moment of them has any."""
    minutes, rest = np.divmod(at, 60 * MICROS)
    seconds, micros = np.divmod(rest, MICROS)
    distinct, which = np.unique(minutes, return_inverse=True)
    texts = [(_EPOCH + timedelta(minutes=one)).isoformat()[:17] for one in distinct.tolist()]
    whole = by_row(Table(tuple(texts)), which.reshape(-1).astype(np.intp))
    fraction = [constant("."), *numerals(micros, kept, width=6)] if micros.any() else []
    return [whole, *numerals(seconds, kept, width=2), *fraction, constant("Z")]


def rows_of(pieces: Sequence[Ragged | bytes], rows: int) -> memoryview:
    """Each row's pieces one after another, the rows one behind another."""
    sizes = [_size(piece) for piece in pieces]
    offsets = offsets_of(np.asarray(sum(sizes)) + np.zeros(rows, np.intp), rows)
    memory, at = np.empty(int(offsets[-1]), np.uint8), offsets[:-1]
    for piece, size in zip(pieces, sizes, strict=True):
        if isinstance(piece, bytes):
            spread(memory, at, np.frombuffer(piece, np.uint8), 0, size)
        else:
            spread(memory, at, piece.data.view(np.uint8), piece.offsets[:-1], size)
        at = at + size
    return memory.data


def _size(piece: Ragged | bytes) -> Index | int:
    if isinstance(piece, bytes):
        return len(piece)
    lengths = piece.lengths.astype(np.intp)
    return int(lengths[0]) if len(lengths) and (lengths == lengths[0]).all() else lengths


def hexadecimal(strokes: Ragged, kept: Kept) -> Ragged:
    """Strokes as four hexadecimal digits each, the highest row first."""
    table = kept.once("hexadecimal", _hex_table)
    return Ragged(strokes.offsets * 4, table[strokes.data].view(np.uint8))


def _hex_table() -> np.ndarray[tuple[int, ...], np.dtype[np.uint32]]:
    numbers = np.arange(1 << 16)
    digits = np.frombuffer(_HEX.encode(), np.uint8)
    columns = [digits[numbers >> shift & 15] for shift in (12, 8, 4, 0)]
    return np.stack(columns, axis=1).copy().view(np.uint32).reshape(-1)


def texts_of(cell: Cell, rows: int, form: Form) -> Ragged:
    """The texts of a cell in each row."""
    return written(cell.columns, rows, form)

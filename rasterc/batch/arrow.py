"""Blocks as Arrow record batches."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from rasterc.batch.block import written
from rasterc.batch.columns import Column
from rasterc.batch.spread import Ragged
from rasterc.sweep.extras import needed

if TYPE_CHECKING:
    import pyarrow

    from rasterc.batch.block import Block


def arrow() -> Any:
    """The package; raises `InputError` when it is not installed."""
    return needed("pyarrow", "batch", "Arrow and Parquet")


def record_batch(block: Block, packed: bool = False) -> pyarrow.RecordBatch:
    """A block's rows, see `Block.arrow`; ``packed`` strokes are binary, uint16 little-endian."""
    pa = arrow()
    columns: dict[str, Any] = {"row": pa.array(block.numbers)}
    if block.rows.at is not None:
        columns["at"] = pa.array(block.rows.at).cast(pa.timestamp("us", "UTC"))
    columns |= {f"counter.{n}": pa.array(v) for n, v in block.rows.counters.items()}
    columns |= {f"input.{n}": _strings((c,), len(block)) for n, c in block.inputs.items()}
    columns |= {f"line.{n}": _strings(words, len(block)) for n, words in enumerate(block.words, 1)}
    columns["strokes"] = (_binary if packed else _lists)(block.strokes)
    return pa.record_batch(columns)


def _strings(columns: tuple[Column, ...], rows: int) -> Any:
    texts = written(columns, rows)
    return _variable(arrow().string(), texts.offsets, texts)


def _binary(strokes: Ragged) -> Any:
    return _variable(arrow().binary(), strokes.offsets * 2, strokes)


def _variable(kind: Any, offsets: Any, rows: Ragged) -> Any:
    pa = arrow()
    edges = pa.py_buffer(offsets.astype(np.int32))
    return pa.Array.from_buffers(kind, len(rows), [None, edges, pa.py_buffer(rows.data)])


def _lists(strokes: Ragged) -> Any:
    pa = arrow()
    return pa.ListArray.from_arrays(pa.array(strokes.offsets.astype(np.int32)), strokes.data)

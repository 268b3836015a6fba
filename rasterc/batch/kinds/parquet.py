"""Parquet, strokes as binary: unsigned 16-bit numbers, little-endian."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from rasterc.batch.arrow import arrow, record_batch
from rasterc.batch.block import Block
from rasterc.batch.kinds import Kind, Part
from rasterc.batch.kinds.sink import Sink
from rasterc.sweep.extras import needed

GROUP = 1 << 17
"""Rows of a row group, at most."""


def part(blocks: Iterable[Block], alone: bool) -> Part:
    """The rows of some blocks: a Parquet file, or an Arrow stream when it will be joined."""
    pyarrow = arrow()
    table = pyarrow.Table.from_batches([record_batch(block, packed=True) for block in blocks])
    out = io.BytesIO()
    if alone:
        with _writer(out, table.schema) as writer:
            writer.write_table(table, row_group_size=GROUP)
    else:
        with pyarrow.ipc.new_stream(out, table.schema) as stream:
            stream.write_table(table)
    return {"": out.getvalue()}


def _writer(out: io.BytesIO | Sink, schema: Any) -> Any:
    """Deltas from row to row take least, and are quickest, for what goes on evenly."""
    parquet = needed("pyarrow.parquet", "batch", "Parquet")
    encodings = {field.name: _encoding(field.type) for field in schema}
    return parquet.ParquetWriter(
        out, schema, compression="zstd", use_dictionary=False, column_encoding=encodings
    )


def _encoding(kind: Any) -> str:
    types = arrow().types
    if types.is_binary(kind) or types.is_string(kind):
        return "DELTA_BYTE_ARRAY"
    return "DELTA_BINARY_PACKED"


def joined(_: str, parts: Sequence[Callable[[], bytes]]) -> Iterator[bytes]:
    """One file of all parts, a row group for each."""
    pyarrow, out, writer = arrow(), Sink(), None
    for read in parts:
        table = pyarrow.ipc.open_stream(read()).read_all()
        writer = writer or _writer(out, table.schema)
        writer.write_table(table, row_group_size=GROUP)
        yield out.taken()
    if writer is not None:
        writer.close()
    yield out.taken()


KIND = Kind(".parquet", ("",), part, joined)

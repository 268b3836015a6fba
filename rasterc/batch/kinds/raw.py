"""Strokes as they are thrown, one row behind another, and an index of the rows beside them.

`NAME.strokes` holds unsigned 16-bit numbers, little-endian: bit r of each is raster row r.
`NAME.strokes.index` holds two unsigned 64-bit numbers, little-endian, for each row: its number,
counted from 1, and how many strokes there are up to its end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

import numpy as np

from rasterc.batch.block import Block
from rasterc.batch.kinds import Kind, Part, behind

INDEX = ".index"
RECORD = np.dtype([("row", "<u8"), ("end", "<u8")])


def part(blocks: Iterable[Block], alone: bool) -> Part:
    """The strokes of some blocks, and their index."""
    del alone
    strokes, index, end = list[bytes](), list[bytes](), 0
    for block in blocks:
        strokes.append(block.strokes.data.astype("<u2", copy=False).tobytes())
        records = np.empty(len(block), RECORD)
        records["row"], records["end"] = block.numbers, block.strokes.offsets[1:] + end
        end += int(block.strokes.offsets[-1])
        index.append(records.tobytes())
    return {"": b"".join(strokes), INDEX: b"".join(index)}


def joined(file: str, parts: Sequence[Callable[[], bytes]]) -> Iterator[bytes]:
    """The strokes, or the index, of all parts."""
    if file != INDEX:
        yield from behind(file, parts)
        return
    end = 0
    for read in parts:
        records = np.frombuffer(read(), RECORD).copy()
        records["end"] += np.uint64(end)
        end = int(records["end"][-1]) if len(records) else end
        yield records.tobytes()


KIND = Kind(".strokes", ("", INDEX), part, joined)

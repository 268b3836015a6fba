"""Arrays for numpy: ``row``, ``at``, ``counter.NAME``, ``input.NAME``, ``line.N``, ``strokes``.

``strokes`` holds the strokes of all rows, uint16, one row behind another; row ``n`` of the file
has ``strokes[offsets[n]:offsets[n + 1]]``.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np
from numpy.lib import format as npy
from numpy.typing import NDArray

from rasterc.batch.block import Block
from rasterc.batch.kinds import Kind, Part
from rasterc.batch.kinds.sink import Sink

OFFSETS = "offsets"
_DATE = (1980, 1, 1, 0, 0, 0)  # the first that the format knows: the same bytes at any time

Arrays = Mapping[str, NDArray[Any]]


def part(blocks: Iterable[Block], alone: bool) -> Part:
    """The arrays of some blocks."""
    del alone
    found = [_arrays(block) for block in blocks]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name in found[0]:
            with archive.open(_entry(name), "w", force_zip64=True) as file:
                npy.write_array(file, _column(name, [arrays[name] for arrays in found]))
    return {"": out.getvalue()}


def _arrays(block: Block) -> Arrays:
    arrays: dict[str, NDArray[Any]] = {"row": block.numbers}
    if block.rows.at is not None:
        arrays["at"] = block.rows.at.view("datetime64[us]")
    arrays |= {f"counter.{name}": values for name, values in block.rows.counters.items()}
    for name, column in block.inputs.items():
        arrays[f"input.{name}"] = np.array(column.listed(len(block)), np.str_)
    for number in range(len(block.words)):
        arrays[f"line.{number + 1}"] = np.array(block.texts(number), np.str_)
    return arrays | {OFFSETS: block.strokes.offsets, "strokes": block.strokes.data}


def _column(name: str, arrays: Sequence[NDArray[Any]]) -> NDArray[Any]:
    if name != OFFSETS:
        return np.concatenate(arrays)
    ends = np.cumsum([0, *(int(offsets[-1]) for offsets in arrays)])
    moved = [a[1:] + end for a, end in zip(arrays, ends[:-1].tolist(), strict=True)]
    return np.concatenate([np.zeros(1, np.int64), *moved])


def _entry(name: str) -> zipfile.ZipInfo:
    return zipfile.ZipInfo(f"{name}.npy", _DATE)


def joined(_: str, parts: Sequence[Callable[[], bytes]]) -> Iterator[bytes]:
    """The arrays of all parts."""
    sink = Sink()
    with zipfile.ZipFile(sink, "w", zipfile.ZIP_STORED) as archive:
        for name in _names(parts[0]()):
            with archive.open(_entry(name), "w", force_zip64=True) as file:
                for piece in _whole(name, parts):
                    file.write(piece)
                    yield sink.taken()
    yield sink.taken()


def _names(data: bytes) -> list[str]:
    with np.load(io.BytesIO(data)) as arrays:
        return list(arrays.files)


def _whole(name: str, parts: Sequence[Callable[[], bytes]]) -> Iterator[bytes]:
    """An array of all parts: its header, then its data."""
    shapes = [(a.dtype, len(a)) for a in (_array(name, part) for part in parts)]
    kind = np.result_type(*(dtype for dtype, _ in shapes))
    count = sum(length for _, length in shapes)
    head = io.BytesIO()
    length = count - len(parts) + 1 if name == OFFSETS else count
    described = {"descr": npy.dtype_to_descr(kind), "fortran_order": False, "shape": (length,)}
    npy.write_array_header_1_0(head, described)
    yield head.getvalue()
    end = 0
    for place, read in enumerate(parts):
        array = _array(name, read).astype(kind)
        if name == OFFSETS:
            array, end = array[place > 0 :] + end, end + int(array[-1])
        yield array.tobytes()


def _array(name: str, read: Callable[[], bytes]) -> NDArray[Any]:
    with np.load(io.BytesIO(read())) as arrays:
        array: NDArray[Any] = arrays[name]
        return array


KIND = Kind(".npz", ("",), part, joined)

"""What was flown is kept in the user's cache, by all that it depends on.

That is the head, the drops on its grid, their charges and wakes, and the version of the model and
of what works it out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from hashlib import sha256
from typing import Any
from zlib import compress, decompress

import msgspec
import numpy as np
from numpy.typing import NDArray

from rasterc.files.cache import FLIGHTS, user_cache
from rasterc.head.arrays import Floats
from rasterc.head.compiled import flown_by
from rasterc.head.model import HeadModel
from rasterc.head.plan import StrokePlan
from rasterc.head.version import model_version

Arrays = Mapping[str, NDArray[Any]]


def kept(
    what: str,
    head: HeadModel,
    plan: StrokePlan,
    given: Sequence[float],
    charges_c: Floats | None,
    make: Callable[[], Arrays],
) -> Arrays:
    """What ``make`` gives, from the user's cache where that has it.

    Args:
        what: what is made, in a word; ``make`` is nothing but what it and all others make it.
        head: the head.
        plan: the message on the drop grid.
        given: further numbers on which it depends.
        charges_c: charges on which it depends.
        make: works it out.
    """
    cache = user_cache(FLIGHTS)
    if cache is None:
        return make()
    key = _key(what, head, plan, given, charges_c)
    data = cache.get(key)
    if data is not None:
        return _decoded(data)
    made = make()
    said = f"{what} of {len(plan.columns)} strokes of {plan.throw.rows} rows"
    cache.put(key, said, _encoded(made))
    return made


def _key(
    what: str,
    head: HeadModel,
    plan: StrokePlan,
    given: Sequence[float],
    charges_c: Floats | None,
) -> str:
    throw = plan.throw
    numbers = (
        what, head, throw.order, throw.guard_drops, throw.stroke_gap_drops, plan.stroke_pitch_mm,
        plan.speed_m_s, plan.drop_frequency_hz, list(given), model_version(), flown_by(),
        np.__version__,
    )  # fmt: skip
    digest = sha256(msgspec.json.encode(numbers))
    for array in (plan.columns, plan.starts, np.zeros(0) if charges_c is None else charges_c):
        digest.update(repr((array.shape, array.dtype.str)).encode())
        digest.update(np.ascontiguousarray(array).tobytes())
    return digest.hexdigest()


class _Array(msgspec.Struct):
    """An array as bytes."""

    dtype: str
    shape: tuple[int, ...]
    data: bytes


def _encoded(arrays: Arrays) -> bytes:
    flat = {
        name: _Array(array.dtype.str, array.shape, np.ascontiguousarray(array).tobytes())
        for name, array in arrays.items()
    }
    return compress(msgspec.msgpack.encode(flat))


def _decoded(data: bytes) -> Arrays:
    flat = msgspec.msgpack.decode(decompress(data), type=dict[str, _Array])
    return {
        name: np.frombuffer(bytearray(one.data), dtype=one.dtype).reshape(one.shape)
        for name, one in flat.items()
    }

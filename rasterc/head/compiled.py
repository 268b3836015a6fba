"""Flights by compiled loops, where numba is installed (extra ``fast``)."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from functools import lru_cache
from importlib.util import find_spec

import numpy as np

from rasterc.head.arrays import Floats, Ints
from rasterc.head.batch import Batch, Met
from rasterc.head.many import Constants
from rasterc.head.shield import steady_factor
from rasterc.head.wake import RISE, RISE_POWER, share_terms

Run = Callable[[Batch], Met]
BLOCK = 8  # lanes are filled up to a multiple of what a processor takes at once


@lru_cache(maxsize=1)
def compiled_run() -> Run | None:
    """What flies patterns by compiled loops; None without a numba that works and may compile."""
    try:
        from numba import config
    except ImportError:  # not installed, or of no use beside this numpy
        return None
    return None if getattr(config, "DISABLE_JIT", False) else _run


def flown_by() -> str:
    """What flies patterns, in words; numba is not loaded to tell."""
    if compiled_run.cache_info().currsize:  # known for certain, as something flew
        return "compiled loops" if compiled_run() else "numpy"
    interpreted = os.environ.get("NUMBA_DISABLE_JIT", "0") not in ("", "0")
    return "numpy" if interpreted or find_spec("numba") is None else "compiled loops"


def lanes() -> int:
    """How many patterns it flies at once."""
    from rasterc.head.kernel import LANES

    return LANES


def _run(batch: Batch) -> Met:
    from rasterc.head.kernel import FIELDS, LANES
    from rasterc.head.kernel_run import Charged, Course, Found

    patterns, grid = len(batch.c.speed), batch.grid
    head = _head(batch)
    charged = _charged_rows(batch.charges_c)
    course = Course(
        -(-patterns // BLOCK) * BLOCK, batch.rows, batch.lead, grid.period_s, grid.steps,
        grid.drops, batch.longest, batch.kept_drops, batch.followed_drops, batch.follow,
    )  # fmt: skip
    found = Found(
        np.full((len(batch.planes), 9, batch.rows, LANES), np.nan),
        np.full((batch.rows, LANES), np.inf),
        np.full((batch.rows, LANES), -1),
    )
    state = _state(batch, head).reshape(batch.rows, FIELDS * LANES)
    marks = Charged(charged, np.zeros((LANES, 4), np.int64))
    _loop()(state, head.reshape(-1), course, marks, found)
    return Met(found.met[..., :patterns], found.nearest2[:, :patterns], found.nearest[:, :patterns])


@lru_cache(maxsize=1)
def _loop() -> Callable[..., int]:
    from rasterc.head.kernel_run import loop_of
    from rasterc.head.version import model_version

    return loop_of(int(model_version()[:12], 16))


def _wide(values: Floats) -> Floats:
    """Values of patterns on all lanes: those that fly nothing have the last pattern's."""
    from rasterc.head.kernel import LANES

    return np.concatenate((values, np.repeat(values[..., -1:], LANES - len(values), axis=-1)))


def _head(batch: Batch) -> Floats:
    """The constants of the lanes, in the order of the kernel."""
    return np.stack([_wide(values) for values in _constants(batch.c, batch.planes)])


def _constants(c: Constants, planes: Floats) -> Iterator[Floats]:
    yield from (c.speed, 1 / c.speed, c.diameter, 1 / c.diameter, c.mass, c.stokes, c.strength)
    yield from (c.entry, c.exit, c.fringe, c.middle, c.field)
    yield steady_factor(c)
    yield from (planes[0], planes[-1])
    reynolds = c.reynolds * c.speed
    yield RISE * reynolds**RISE_POWER
    yield from share_terms(reynolds)
    yield 4.0 / reynolds


def _state(batch: Batch, head: Floats) -> Floats:
    """Drops as they are born, shape (rows, fields, lanes)."""
    from rasterc.head.kernel import CHARGE, FACTOR, FIELDS, LANES, SPEED, STREAM, UZ, VZ

    state = np.zeros((batch.rows, FIELDS, LANES))
    state[:, VZ // LANES] = head[SPEED // LANES]
    state[:, UZ // LANES] = 1.0
    state[:, FACTOR // LANES] = head[STREAM // LANES]
    state[:, CHARGE // LANES, : batch.charges_c.shape[1]] = batch.charges_c
    return state


def _charged_rows(charges_c: Floats) -> Ints:
    """The charged rows of each lane, filled up with one behind all rows."""
    from rasterc.head.kernel import LANES

    rows = len(charges_c)
    charged = charges_c != 0
    out = np.full((LANES, int(charged.sum(axis=0).max(initial=0)) + 1), rows)
    for lane, drops in enumerate(charged.T):
        found = np.flatnonzero(drops)
        out[lane, : len(found)] = found
    return out

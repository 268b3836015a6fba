"""Working off cases on a Dask scheduler."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import msgspec

from rasterc.diagnostics import InputError
from rasterc.sweep.extras import needed
from rasterc.sweep.run import Chunk, Done, Runner, fly_chunk

RETRIES = 3
CONNECT_S = 10


def on_cluster(address: str) -> Runner:
    """Fly the chunks on the workers of a scheduler, ``tcp://127.0.0.1:8786`` say.

    The workers need the same release of rasterc. The chunks of a worker that ends are flown by
    another.

    Raises:
        InputError: the extra is not installed; when running, no scheduler there, or no worker
            that can fly.
    """
    distributed = needed("distributed", "cluster", "--cluster")

    def run(job: bytes, chunks: Sequence[Chunk]) -> Iterator[Done]:
        if not chunks:
            return
        client = _connected(distributed, address)
        try:
            futures = {
                client.submit(
                    fly_chunk, job, msgspec.json.encode(chunk), pure=False, retries=RETRIES
                ): chunk
                for chunk in chunks
            }
            for future in distributed.as_completed(list(futures), loop=client.loop):
                yield futures[future], _result(future)
        finally:
            client.close()

    return run


def _connected(distributed: Any, address: str) -> Any:
    try:
        return distributed.Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError) as error:  # TimeoutError is an OSError
        raise InputError.one(
            "no-cluster",
            f"no scheduler answers at {address}: {error or type(error).__name__}",
            help="start one with `dask scheduler`, and workers with `dask worker ADDRESS`",
        ) from None


def _result(future: Any) -> bytes:
    """The result; what goes wrong in a worker comes as any exception there is."""
    try:
        return bytes(future.result())
    except InputError:
        raise
    except Exception as error:
        raise InputError.one(
            "cluster-failed",
            f"the workers of the cluster cannot fly: {type(error).__name__}: {error}",
            help="install the same release of rasterc where the workers run",
        ) from error

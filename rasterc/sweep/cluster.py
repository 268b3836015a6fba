"""Working off cases on a Dask scheduler."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from queue import Empty, Queue
from threading import Thread
from typing import Any

import msgspec

from rasterc.diagnostics import InputError
from rasterc.sweep.extras import needed
from rasterc.sweep.run import Chunk, Done, Runner, fly_chunk

RETRIES = 3
CONNECT_S = 10
CLOSE_S = 10
WORKERS_S = 60
ASK_S = 20
"""When so long nothing has come, the scheduler is asked whether it is there and has workers."""
ANSWER_S = 40


def on_cluster(address: str) -> Runner:
    """Fly the chunks on the workers of a scheduler, ``tcp://127.0.0.1:8786`` say.

    The workers need the same release of rasterc. The chunks of a worker that ends are flown by
    another.

    Raises:
        InputError: the extra is not installed; when running, no scheduler that answers in
            some seconds, none that has a worker within a minute, or no worker that can
            fly. A scheduler that falls silent while it is at work is given up after a minute, and
            so is one whose workers are all gone; how long a flight takes does not matter.
    """
    distributed = needed("distributed", "cluster", "--cluster")

    def run(job: bytes, chunks: Sequence[Chunk]) -> Generator[Done, None, None]:
        if not chunks:
            return
        client = connected(distributed, address)
        try:
            wait_for_worker(client, address)
            futures = {
                client.submit(
                    fly_chunk, job, msgspec.json.encode(chunk), pure=False, retries=RETRIES
                ): chunk
                for chunk in chunks
            }
            done: Queue[Any] = Queue()
            for future in futures:
                future.add_done_callback(done.put)
            for _ in futures:
                future = next_done(done, client, address)
                yield futures[future], bytes(result_of(future))
        finally:
            client.close(timeout=CLOSE_S)

    return run


def connected(distributed: Any, address: str) -> Any:
    """A client; raises `InputError`.

    The client's own timeout is for connections: it waits for ever for one that is taken and then
    not answered. So it is made in a thread, which is left alone when the time is over.
    """
    made: Queue[Any] = Queue()

    def make() -> None:
        try:
            made.put(distributed.Client(address, timeout=CONNECT_S, set_as_default=False))
        except (OSError, ValueError) as error:  # TimeoutError is an OSError
            made.put(error)

    Thread(target=make, daemon=True).start()
    try:
        client = made.get(timeout=2 * CONNECT_S)
    except Empty:
        client = TimeoutError(f"nothing came in {2 * CONNECT_S} s")
    if not isinstance(client, Exception):
        return client
    raise InputError.one(
        "no-cluster",
        f"no scheduler answers at {address}: {client or type(client).__name__}",
        help="start one with `dask scheduler`, and workers with `dask worker ADDRESS`",
    )


def wait_for_worker(client: Any, address: str) -> None:
    """Wait until there is a worker; raises `InputError`."""
    try:
        client.wait_for_workers(1, timeout=WORKERS_S)
    except TimeoutError:
        raise _no_worker(address) from None


def next_done(done: Queue[Any], client: Any, address: str) -> Any:
    """The next future that is done; raises `InputError` when none can be expected."""
    without = 0.0
    while True:
        try:
            return done.get(timeout=ASK_S)
        except Empty:
            without = 0.0 if _has_workers(client, address) else without + ASK_S
        if without >= WORKERS_S:
            raise _no_worker(address)


def _has_workers(client: Any, address: str) -> bool:
    """What the scheduler says; raises `InputError` when it says nothing."""
    try:
        return bool(client.sync(client.scheduler.identity, callback_timeout=ANSWER_S)["workers"])
    except (OSError, TimeoutError):
        raise InputError.one(
            "no-cluster",
            f"the scheduler at {address} has fallen silent: no answer in {ANSWER_S} s",
            help="see whether it still runs; with --results what was flown is kept",
        ) from None


def _no_worker(address: str) -> InputError:
    return InputError.one(
        "no-cluster",
        f"the scheduler at {address} has no worker after {WORKERS_S} s",
        help=f"start some with `dask worker {address}`",
    )


def result_of(future: Any) -> Any:
    """The result; what goes wrong in a worker comes as any exception there is."""
    try:
        return future.result()
    except InputError:
        raise
    except Exception as error:
        raise InputError.one(
            "cluster-failed",
            f"the workers of the cluster cannot do it: {type(error).__name__}: {error}",
            help="install the same release of rasterc where the workers run",
        ) from error

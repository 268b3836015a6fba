"""Parts done on a Dask scheduler; what one worker leaves undone another does.

The scheduler and all who can reach it are trusted: tasks are sent as pickles, and whoever can send
one runs programs on the workers.
"""

from __future__ import annotations

import pickle
from collections.abc import Generator, Iterable, Iterator
from itertools import islice
from queue import Queue
from typing import Any

from rasterc.batch.parts import Done, Order, Task, do_part_of
from rasterc.batch.work import Runner
from rasterc.sweep.cluster import CLOSE_S, RETRIES, connected, next_done, result_of, wait_for_worker
from rasterc.sweep.extras import needed

WINDOW = 16
"""Parts on the way at once: what is told of them, and comes back, is held."""


def on_cluster(address: str, window: int = WINDOW) -> Runner:
    """Do the parts on the workers of a scheduler, ``tcp://127.0.0.1:8786`` say.

    The workers need the same release of rasterc, and no files: parts come back as bytes.

    Raises:
        InputError: as `rasterc.sweep.cluster.on_cluster`.
    """
    distributed = needed("distributed", "cluster", "--cluster")

    def run(order: Order, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        client = connected(distributed, address)
        try:
            wait_for_worker(client, address)
            yield from _worked_off(client, address, order, iter(tasks), window)
        finally:
            client.close(timeout=CLOSE_S)

    return run


def _worked_off(
    client: Any, address: str, order: Order, tasks: Iterator[Task], window: int
) -> Iterator[Done]:
    whole = pickle.dumps(order)  # sent with each part: a worker that comes later needs it too
    done: Queue[Any] = Queue()
    waiting = 0
    for task in islice(tasks, window):
        waiting += _hand_out(client, whole, task, done)
    while waiting:
        future = next_done(done, client, address)
        result: Done = result_of(future)
        future.release()
        waiting -= 1
        yield result
        for task in islice(tasks, 1):
            waiting += _hand_out(client, whole, task, done)


def _hand_out(client: Any, whole: bytes, task: Task, done: Queue[Any]) -> int:
    future = client.submit(do_part_of, whole, task, pure=False, retries=RETRIES)
    future.add_done_callback(done.put)
    return 1

"""Parts done in several processes of this machine."""

from __future__ import annotations

import pickle
from collections.abc import Generator, Iterable
from functools import partial
from itertools import islice

from rasterc.batch.parts import Done, Order, Task, do_part_of
from rasterc.batch.work import Runner
from rasterc.processes import check_workers, work_off

WINDOW = 64
"""Parts handed out at once, for each worker: what is told of them, and comes back, is held."""


def in_pool(workers: int) -> Runner:
    """Do the parts in so many processes; raises `InputError` as `work_off`."""
    check_workers(workers)

    def run(order: Order, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        whole, todo = pickle.dumps(order), iter(tasks)
        while some := list(islice(todo, WINDOW * workers)):
            advice = "use fewer --workers; what is done is kept"
            for _, done in work_off(partial(do_part_of, whole), some, workers, advice=advice):
                yield done

    return run

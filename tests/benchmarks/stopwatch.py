"""Timing that the scripts beside it share."""

from __future__ import annotations

import time
from collections.abc import Callable


def best_s(
    work: Callable[[], object],
    repeat: int = 7,
    number: int = 1,
    clock: Callable[[], float] = time.perf_counter,
) -> float:
    """The shortest of several runs, in s: the one least disturbed.

    ``number`` calls make a run; what is given is the time of one.
    """
    times = []
    for _ in range(repeat):
        start = clock()
        for _ in range(number):
            work()
        times.append((clock() - start) / number)
    return min(times)

"""Working off the cases of a job: here, in a pool of processes, or on a cluster.

A case is flown on its own from the text of its job, and its figures travel as text, so that they
are the same bit for bit wherever they are worked out, on processors of one kind.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from functools import partial
from math import ceil
from typing import TypeAlias

import msgspec

from rasterc.processes import check_workers, work_off
from rasterc.sweep.case import band_of
from rasterc.sweep.kept import Store, kept_cases
from rasterc.sweep.model import Band, Case, Job

Chunk: TypeAlias = tuple[Case, ...]
Done: TypeAlias = tuple[Chunk, bytes]
Runner: TypeAlias = Callable[[bytes, Sequence[Chunk]], Generator[Done, None, None]]
Progress: TypeAlias = Callable[[int, int], None]

LONGEST_CHUNK = 4
CHUNKS_PER_WORKER = 4  # so that a slow chunk at the end keeps few workers waiting


def fly_chunk(job: bytes, cases: bytes) -> bytes:
    """Fly some cases of a job; all of it as JSON."""
    whole = msgspec.json.decode(job, type=Job)
    chunk = msgspec.json.decode(cases, type=list[Case])
    return msgspec.json.encode([band_of(whole, case) for case in chunk])


def run_cases(
    job: Job,
    cases: Sequence[Case],
    *,
    runner: Runner | None = None,
    workers: int = 1,
    results: Store | None = None,
    progress: Progress | None = None,
) -> dict[Case, Band]:
    """Fly all cases that ``results`` does not hold yet, or the user's cache without it.

    Args:
        job: the job.
        cases: its cases; equal ones are flown once.
        runner: who flies them; `one_by_one` when None.
        workers: how many there are, for the size of chunks.
        results: earlier results, and a place for new ones; else the user's cache.
        progress: called with cases done and cases in all.

    Raises:
        InputError: a case that cannot be flown, or a runner that cannot go on.
    """
    wanted = list(dict.fromkeys(cases))
    store = results or kept_cases(job)
    found = store.known(wanted) if store else {}
    chunks = _chunks([case for case in wanted if case not in found], workers)
    if progress:
        progress(len(found), len(wanted))
    with closing((runner or one_by_one)(msgspec.json.encode(job), chunks)) as flown:
        for chunk, encoded in flown:
            figures = msgspec.json.decode(encoded, type=list[Band])
            done = list(zip(chunk, figures, strict=True))
            if store:
                store.add(done)
            found |= done
            if progress:
                progress(len(found), len(wanted))
    return {case: found[case] for case in wanted}


def _chunks(cases: Sequence[Case], workers: int) -> list[Chunk]:
    size = min(LONGEST_CHUNK, max(1, ceil(len(cases) / (workers * CHUNKS_PER_WORKER))))
    return [tuple(cases[i : i + size]) for i in range(0, len(cases), size)]


def one_by_one(job: bytes, chunks: Sequence[Chunk]) -> Generator[Done, None, None]:
    """Fly the chunks in this process."""
    for chunk in chunks:
        for case in chunk:  # so that each is kept, and shown, as soon as it is there
            yield (case,), fly_chunk(job, msgspec.json.encode([case]))


def in_pool(workers: int) -> Runner:
    """Fly the chunks in so many processes of this machine.

    However this process ends, or breaks off, the others end at once.

    Raises:
        InputError: a number of workers that makes no sense; when running, a worker that was ended.
    """
    check_workers(workers)

    def run(job: bytes, chunks: Sequence[Chunk]) -> Generator[Done, None, None]:
        advice = "use fewer --workers; what is done is kept"
        yield from work_off(partial(_flown, job), chunks, workers, advice=advice)

    return run


def _flown(job: bytes, chunk: Chunk) -> bytes:
    return fly_chunk(job, msgspec.json.encode(chunk))

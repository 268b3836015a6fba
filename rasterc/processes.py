"""Working off many things in several processes of this machine, none of which is left behind."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection
from threading import Thread, current_thread, main_thread
from types import FrameType
from typing import Any, TypeVar

from rasterc.diagnostics import InputError

MOST_WORKERS = 256

_Item = TypeVar("_Item")
_Result = TypeVar("_Result")


def check_workers(workers: int) -> None:
    """Refuse a number of workers that makes no sense; raises `InputError`."""
    if not 1 <= workers <= MOST_WORKERS:
        said = f"{workers} workers cannot be started"
        raise InputError.one("bad-count", said, help=f"give a number from 1 to {MOST_WORKERS}")


def work_off(
    work: Callable[[_Item], _Result],
    items: Sequence[_Item],
    workers: int,
    *,
    advice: str = "use fewer --workers",
) -> Generator[tuple[_Item, _Result], None, None]:
    """Do the work for every item in so many processes; each item with its result, as they come.

    However this process ends, or breaks off, the others end at once. Close the generator when it
    is not followed to its end.

    Args:
        work: a function of a module, or a `partial` of one, so that it can be sent away.
        items: what it is done for; they, and the results, are sent too.
        workers: how many processes.
        advice: what to do when one was ended from outside.

    Raises:
        InputError: all of `check_workers`, or a worker that was ended from outside.
    """
    check_workers(workers)
    context = get_context("spawn")
    line, held = context.Pipe(duplex=False)
    pool = ProcessPoolExecutor(workers, context, _end_with, (line,))
    try:
        with _without_interrupts():
            futures = {pool.submit(work, item): item for item in items}
        for future in as_completed(futures):
            yield futures[future], future.result()
        pool.shutdown()
    except BrokenProcessPool:
        said = "a worker process was ended from outside, for want of memory perhaps"
        raise InputError.one("worker-ended", said, help=advice) from None
    finally:
        held.close()
        pool.shutdown(cancel_futures=True)
        line.close()


def _end_with(line: Connection) -> None:
    """End this worker as soon as nobody holds the other end of the line: its main process closed
    it, or is gone, by whatever signal."""

    def wait() -> None:
        with suppress(EOFError, OSError):
            line.recv_bytes()
        os._exit(1)

    Thread(target=wait, daemon=True).start()


@contextmanager
def _without_interrupts() -> Iterator[None]:
    """Keep Ctrl-C from the processes started meanwhile, for all their life, and start them whole.

    A terminal sends it to them too, but the main process speaks for all, and ends them.
    """
    with _put_off(signal.SIGINT, signal.SIGTERM), _masked(signal.SIGINT):
        yield


@contextmanager
def _masked(stop: signal.Signals) -> Iterator[None]:
    if not hasattr(signal, "pthread_sigmask"):  # Windows
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {stop})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@contextmanager
def _put_off(*stops: signal.Signals) -> Iterator[None]:
    """Let these signals act after the block: a mask does not, another thread may take them."""
    came: list[int] = []
    handlers: dict[signal.Signals, Callable[[int, FrameType | None], Any]] = {}
    if current_thread() is main_thread():  # no other may say what signals do
        found = {stop: signal.getsignal(stop) for stop in stops}
        handlers = {stop: does for stop, does in found.items() if callable(does)}
    for stop in handlers:
        signal.signal(stop, lambda number, _: came.append(number))
    try:
        yield
    finally:
        for stop, does in handlers.items():
            signal.signal(stop, does)
    for number in came[:1]:
        signal.raise_signal(number)

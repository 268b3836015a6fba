"""Working off many things in several processes of this machine, none of which is left behind."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Lock, Thread, current_thread, main_thread
from types import FrameType
from typing import Any, TypeVar, cast

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


class WorkerEndedError(Exception):
    """A worker went away in the middle of its work; says why."""


class Worker:
    """A process that does one thing after another, and can be ended in the middle of one.

    It is started when it is first asked for something, and anew after it has ended.
    """

    def __init__(self, memory_bytes: int, gives_way: bool = False) -> None:
        """Args: memory_bytes: the most it may take, where that can be limited; gives_way: others
        have the processor first."""
        self._limits = memory_bytes, gives_way
        self._busy, self._life = Lock(), Lock()
        self._running: _Running | None = None
        self._closed = False

    @property
    def pid(self) -> int | None:
        """Its process, None while there is none."""
        running = self._running
        return running.process.pid if running else None

    def do(self, work: Callable[[_Item], _Result], item: _Item, seconds: float) -> _Result:
        """Do the work for an item, behind what was asked before; blocks.

        Raises:
            WorkerEndedError: it took longer than ``seconds``, or was ended from outside or for want
                of memory; or `end` was called.
            InputError: as the work did.
        """
        with self._busy:
            running = self._start()
            try:
                running.line.send((work, item))
                answered = running.line.poll(seconds)
                fine, result = running.line.recv() if answered else (False, None)
            except (EOFError, OSError):
                self.end()
                raise WorkerEndedError("it was ended, for want of memory perhaps") from None
            if not answered:
                self.end()
                raise WorkerEndedError(f"it took longer than {seconds:g} seconds")
        if fine:
            return cast("_Result", result)
        raise InputError(result) if isinstance(result, tuple) else WorkerEndedError(result)

    def end(self, for_good: bool = False) -> None:
        """End the process at once, whatever it does; it can be asked again unless ``for_good``."""
        with self._life:
            running, self._running = self._running, None
            self._closed = self._closed or for_good
        if running is not None:
            running.process.kill()
            running.process.join()
            running.held.close()

    def _start(self) -> _Running:
        with self._life:
            if self._closed:
                raise WorkerEndedError("the program is ending")
            if self._running is None or not self._running.process.is_alive():
                self._running = _started(*self._limits)
            return self._running


@dataclass(frozen=True, slots=True)
class _Running:
    """A worker's process, the line to it, and what ends it when nobody holds it."""

    process: BaseProcess
    line: Connection
    held: Connection


def _started(memory_bytes: int, gives_way: bool) -> _Running:
    context = get_context("spawn")
    ends, held = context.Pipe(duplex=False)
    line, other = context.Pipe()
    process = context.Process(
        target=_serve, args=(other, ends, memory_bytes, gives_way), daemon=True
    )
    with _without_interrupts():
        process.start()
    other.close()
    ends.close()
    return _Running(process, line, held)


def _serve(line: Connection, ends: Connection, memory_bytes: int, gives_way: bool) -> None:
    """A worker's life: what is asked is done and answered, until nobody asks."""
    _end_with(ends)
    _limit_memory(memory_bytes)
    if gives_way and hasattr(os, "nice"):
        os.nice(10)
    while True:
        with suppress(EOFError, OSError):
            work, item = line.recv()
            line.send(_answer(work, item))
            continue
        return


def _answer(work: Callable[[Any], Any], item: Any) -> tuple[bool, Any]:
    """Whether the work was done, and its result; diagnostics, or what went wrong in words."""
    try:
        return True, work(item)
    except InputError as error:
        return False, error.diagnostics
    except MemoryError:
        return False, "it takes more memory than it may"
    except Exception as error:  # said, and the worker lives on
        return False, f"a fault of ours: {type(error).__name__}: {error}"


def _limit_memory(most_bytes: int) -> None:
    with suppress(ImportError, ValueError, OSError):  # not on every system, not above its own limit
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))


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

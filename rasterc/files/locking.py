"""Taking turns: one program at a time, in the order in which the system lets them."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from rasterc.diagnostics import InputError
from rasterc.files.seen import reason

WAIT_S = 60.0
"""How long to wait for a turn; a turn takes some milliseconds."""
_FLAGS = os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0)


@contextmanager
def turn(path: Path, wait_s: float = WAIT_S) -> Iterator[int]:
    """Hold the lock that belongs to ``path`` until the end of the block; gives its open file.

    The lock is the system's, on a file ``path-lock`` that stays: it ends with the program
    that holds it, however that ends.

    Raises:
        InputError: there can be no such file, or somebody keeps it for longer than ``wait_s``.
    """
    try:
        real = Path(os.path.realpath(path))
        file = os.open(real.with_name(f"{real.name}-lock"), _FLAGS, 0o666)
    except (OSError, ValueError) as error:
        said = f"cannot lock {path}: {reason(error)}"
        help = "it must lie in a folder that you may write to"
        raise InputError.one("cannot-write", said, help=help) from None
    try:
        if not _take(file, False) and not _waited(file, wait_s):
            said = f"another program has held {path} for more than {wait_s:.0f} s"
            raise InputError.one("busy", said, help="end that program, or try again after it")
        yield file
    finally:
        os.close(file)


def _waited(file: int, wait_s: float) -> bool:
    """Wait for a lock, but not for ever; whether it was given."""
    mine = os.dup(file)  # the thread may outlast us: then it lets go what it is given
    given = threading.Event()

    def wait() -> None:
        with suppress(OSError):
            _take(mine, True)
        os.close(mine)
        given.set()

    threading.Thread(target=wait, daemon=True).start()
    return given.wait(wait_s)


if sys.platform == "win32":
    import msvcrt
    import time

    def _take(file: int, waits: bool) -> bool:
        while True:
            try:
                msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
                return True
            except OSError:
                if not waits:
                    return False
            time.sleep(0.001)

else:
    import fcntl

    def _take(file: int, waits: bool) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | (0 if waits else fcntl.LOCK_NB))
        except BlockingIOError:
            return False
        return True

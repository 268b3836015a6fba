"""Which files a command has read, will write and has written."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

from msgspec import Struct, field

from rasterc.diagnostics import InputError, Span

Key = tuple[int, int] | str
"""What all paths to one file have in common: its device and inode; of a file that is not there
yet its path, links followed; "" for what may be written again and again."""


class Seen(Struct):
    """The files of one command."""

    read: set[Key] = field(default_factory=set)
    wanted: set[Key] = field(default_factory=set)
    written: set[Key] = field(default_factory=set)


_seen: ContextVar[Seen | None] = ContextVar("files of the command", default=None)


@contextmanager
def apart() -> Iterator[None]:
    """Nothing is known in the block of what the command reads and writes, nor of it afterwards.

    For work that must come to the same wherever it is done: `note_read` what it read.
    """
    token = _seen.set(Seen())
    try:
        yield
    finally:
        _seen.reset(token)


@contextmanager
def command() -> Iterator[None]:
    """Remember which files are read and written until the end of the block.

    A block inside another one belongs to it. Outside of any, nothing is remembered.
    """
    token = _seen.set(_seen.get() or Seen())
    try:
        yield
    finally:
        _seen.reset(token)


def seen() -> Seen:
    """The files of the present command; a new record outside of any."""
    return _seen.get() or Seen()


def key_of(path: str | Path, state: os.stat_result | None) -> Key:
    """The key of a file; ``state`` is None when it is not there."""
    if state is None:
        return "-" if str(path) == "-" else os.path.realpath(path)
    return (state.st_dev, state.st_ino) if stat.S_ISREG(state.st_mode) else ""


def remember_read(state: os.stat_result, called: str, place: Span | None) -> None:
    """Remember a file that is read; raises `InputError` when it is also written."""
    now, key = seen(), key_of("", state)
    now.read |= {key} - {""}  # also when it is refused: it must not be written then either
    if key in now.read & (now.wanted | now.written):
        raise overwritten(called, place)


def overwritten(called: str, place: Span | None = None) -> InputError:
    """The report of a file that would be read and written."""
    said = f"{called} is read by this command, and would be overwritten"
    return InputError.one("would-overwrite", said, place, "give the output a name of its own")


_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def kind_of(state: os.stat_result) -> str:
    """What something is that is no regular file, in words."""
    return next((words for test, words in _KINDS if test(state.st_mode)), "no plain file")


def reason(error: OSError | ValueError) -> str:
    """Why a file cannot be opened, in words."""
    if isinstance(error, OSError):
        return error.strerror or str(error)
    return "no file can have this name"

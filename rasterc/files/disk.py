"""How bytes reach files, devices, pipes and streams. Raises `OSError` and `ValueError`."""

from __future__ import annotations

import errno
import os
import shutil
import sys
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import TextIO

_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
_CALM = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOCTTY", 0)


Data = bytes | Iterable[bytes]
"""What is written: all of it, or piece by piece."""


def new(path: Path, data: Data) -> None:
    """Make a file that is not there, with the mode the system gives new files."""
    temporary = _copy(path.parent, 0o666, data)
    try:
        temporary.replace(path)
    except BaseException:
        temporary.unlink()
        raise


def replace(path: Path, state: os.stat_result, data: Data) -> None:
    """Replace a regular file that is there; its mode, owner, links and attributes stay.

    A whole copy is written beside it first. The copy takes its place where it can be all that the
    file was; else the contents are replaced. Should that fail, the copy stays and is named.
    """
    mode = state.st_mode & 0o7777
    try:
        temporary = _copy(path.parent, mode & 0o777, data)
    except PermissionError:  # a file one may write to in a folder one may not
        temporary = _copy(Path(tempfile.gettempdir()), 0o600, data)
    try:
        done = _takes_over(temporary, path, state)
        file = None if done else os.open(path, os.O_WRONLY | getattr(os, "O_BINARY", 0))
    except BaseException:
        temporary.unlink()
        raise
    if file is not None:
        _fill(file, temporary)
        temporary.unlink()


def into_device(path: str | Path, data: Data) -> None:
    """Write into a device, or a pipe that somebody reads."""
    try:
        file = os.open(path, os.O_WRONLY | _CALM)
    except OSError as error:
        if error.errno == errno.ENXIO:
            raise OSError(errno.ENXIO, "nobody reads this pipe") from None
        raise
    os.set_blocking(file, True)
    with os.fdopen(file, "wb") as opened:
        opened.writelines(_pieces(data))


def into_stream(stream: TextIO | None, data: Data) -> None:
    """Write bytes behind what was printed so far."""
    if stream is None:
        raise OSError(errno.EBADF, "it is closed")
    stream.flush()
    stream.buffer.writelines(_pieces(data))
    stream.buffer.flush()


def stream_of(state: os.stat_result) -> TextIO | None:
    """Standard output or error, if it leads to this very file."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError, AttributeError):  # closed, or not of the system
            if os.path.samestat(os.fstat(stream.fileno()), state):
                return stream
    return None


def _pieces(data: Data) -> Iterable[bytes]:
    return (data,) if isinstance(data, bytes) else data


def _copy(folder: Path, mode: int, data: Data) -> Path:
    """A new file in the folder, safely on the disk."""
    path = folder / f".rasterc-{os.urandom(8).hex()}.tmp"
    handle = os.open(path, _NEW, mode)
    try:
        with os.fdopen(handle, "wb") as file:
            file.writelines(_pieces(data))
            file.flush()
            os.fsync(file.fileno())
    except BaseException:
        path.unlink()
        raise
    return path


def _takes_over(temporary: Path, path: Path, state: os.stat_result) -> bool:
    """Let the copy take the place of a file if nothing of it but its contents is lost."""
    if state.st_nlink > 1 or _attributes(path) != _attributes(temporary):
        return False
    try:
        if hasattr(os, "chown"):
            os.chown(temporary, state.st_uid, state.st_gid)
        temporary.chmod(state.st_mode & 0o7777)
        temporary.replace(path)
    except OSError:  # not ours to give away, or the file cannot be renamed over
        return False
    return True


def _attributes(path: Path) -> set[str]:
    """The names of a file's extended attributes, access lists among them."""
    try:
        return set(os.listxattr(path))
    except (OSError, AttributeError):  # the file system, or the system, has none
        return set()


def _fill(file: int, copy: Path) -> None:
    """Replace the contents of an open file."""
    try:
        with os.fdopen(file, "wb") as opened, copy.open("rb") as whole:
            shutil.copyfileobj(whole, opened)
            opened.truncate()
            opened.flush()
            os.fsync(opened.fileno())
    except OSError as error:
        said = f"{error.strerror}; the file is damaged, its new contents are whole in {copy}"
        raise OSError(error.errno, said) from None

"""Reading a regular file as far as its limit."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from rasterc.diagnostics import InputError, Span
from rasterc.files.answers import Question, answer, digest, note, unread
from rasterc.files.seen import kind_of, reason, remember_read, seen

_MOST_NOTED = 1 << 30  # bytes of a file that a library opens
_STANDARD_INPUT = "standard input"  # among the keys of what was read; no path is written so

# Opening never waits for the other end of a pipe, and takes no terminal.
_FLAGS = (
    os.O_RDONLY
    | getattr(os, "O_NONBLOCK", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_BINARY", 0)
)


def read_file(
    path: str | Path,
    limit: int,
    what: str = "",
    place: Span | None = None,
    *,
    name: str | None = None,
    remedy: str = "",
) -> bytes:
    """The bytes of a regular file, or of standard input for "-". Never waits for a pipe.

    Args:
        path: the file.
        limit: the most bytes it may have, whole KiB; one more is read to tell.
        what: what it should be, such as "the profile"; for reports.
        place: where it is named, for reports.
        name: how the user knows it; the path when not given.
        remedy: what to do about a file that is too large.

    Raises:
        InputError: it is not there, cannot be read, is no regular file, is larger than ``limit``,
            or is written by the same command.
    """
    called = _called(path, what, name)
    try:
        data = _standard_input(limit) if str(path) == "-" else _regular(path, limit, called, place)
    except (OSError, ValueError) as error:
        note(_question(path, limit), lambda: unread(path))
        said = f"cannot read {called}: {reason(error)}"
        raise InputError.one("cannot-read", said, place, "is the name right?") from None
    note(_question(path, limit), lambda: digest(data))
    if len(data) > limit:
        size = f"{limit >> 20} MiB" if limit >= 1 << 20 else f"{limit >> 10} KiB"
        raise InputError.one("too-large", f"{called} is larger than {size}", place, remedy)
    return data


def read_text(
    path: str | Path,
    limit: int,
    what: str = "",
    place: Span | None = None,
    *,
    name: str | None = None,
    remedy: str = "",
) -> str:
    """The same as text; line ends and a byte order mark stay as they are.

    Raises:
        InputError: all of `read_file`, and bytes that are not UTF-8.
    """
    data = read_file(path, limit, what, place, name=name, remedy=remedy)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        said = f"{_called(path, what, name)} is not UTF-8 text (line {line})"
        raise InputError.one("not-text", said, place, "save it as UTF-8") from None


@contextmanager
def stream_file(path: str | Path, what: str = "") -> Iterator[BinaryIO]:
    """A regular file, to be read piece by piece, however large it is.

    Raises:
        InputError: as `read_file`.
    """
    called = _called(path, what, None)
    question = _question(path, _MOST_NOTED)
    try:
        _refuse_kind(Path(path).stat(), question, called, None)
        file = os.fdopen(os.open(path, _FLAGS), "rb")
    except (OSError, ValueError) as error:
        said = f"cannot read {called}: {reason(error)}"
        raise InputError.one("cannot-read", said, help="is the name right?") from None
    with file:
        state = os.fstat(file.fileno())
        _refuse_kind(state, question, called, None)
        remember_read(state, called, None)
        yield file


def note_read(path: str | Path) -> None:
    """Remember a file that a library opens for us; raises `InputError` when it is to be written."""
    question = _question(path, _MOST_NOTED)
    note(question, lambda: answer(question))
    with suppress(OSError, ValueError):
        remember_read(Path(path).stat(), str(path), None)


def _question(path: str | Path, limit: int) -> Question:
    return Question("contents", str(path), str(limit))


def _called(path: str | Path, what: str, name: str | None) -> str:
    path_name = "standard input" if str(path) == "-" else str(path)
    return " ".join(filter(None, (what, name or path_name)))


def _regular(path: str | Path, limit: int, called: str, place: Span | None) -> bytes:
    question = _question(path, limit)
    _refuse_kind(Path(path).stat(), question, called, place)  # a device is not even opened
    with os.fdopen(os.open(path, _FLAGS), "rb") as file:
        state = os.fstat(file.fileno())  # what was opened, if the path has changed meanwhile
        _refuse_kind(state, question, called, place)
        remember_read(state, called, place)
        return file.read(limit + 1)


def _refuse_kind(
    state: os.stat_result, question: Question, called: str, place: Span | None
) -> None:
    if not stat.S_ISREG(state.st_mode):
        note(question, lambda: unread(question.path))
        said = f"cannot read {called}: it is {kind_of(state)}"
        raise InputError.one("not-a-file", said, place, "name a plain file")


def _standard_input(limit: int) -> bytes:
    if sys.stdin is None:
        raise OSError(0, "it is closed")
    if _STANDARD_INPUT in seen().read:
        raise InputError.one(
            "read-twice", "standard input can be read once only", help='give "-" for one file'
        )
    seen().read.add(_STANDARD_INPUT)
    with suppress(OSError, ValueError):  # nothing of the system lies beneath
        remember_read(os.fstat(sys.stdin.fileno()), "standard input", None)
    return sys.stdin.buffer.read(limit + 1)

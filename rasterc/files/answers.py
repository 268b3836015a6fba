"""What was asked of the file system, and what it answered.

A result that was worked out from files holds as long as the file system answers the same: its
questions are noted while it is worked out, and asked again before it is used again. That a file is
not there is an answer too.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from hashlib import sha256
from pathlib import Path
from typing import BinaryIO, NamedTuple

_PIECE = 1 << 20
_FLAGS = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


class Question(NamedTuple):
    """Something asked of the file system.

    Attributes:
        what: a name of `_ANSWERS`.
        path: of what.
        detail: the suffix of names, or the bytes a file may have, as text.
    """

    what: str
    path: str
    detail: str = ""


Noted = dict[Question, str]
"""Questions with their answers."""

_noting: ContextVar[tuple[Noted, ...]] = ContextVar("what is noted", default=())


@contextmanager
def noting() -> Iterator[Noted]:
    """Note what is asked until the end of the block; also of the blocks inside it."""
    noted: Noted = {}
    token = _noting.set((*_noting.get(), noted))
    try:
        yield noted
    finally:
        _noting.reset(token)


def note(question: Question, answer: Callable[[], str]) -> None:
    """Note a question and its answer, which is worked out only when somebody notes.

    The first answer stays: what was worked out from it does not know of a second one.
    """
    listening = _noting.get()
    if listening:
        said = answer()
        for noted in listening:
            noted.setdefault(question, said)


def note_all(noted: Noted) -> None:
    """Note what was asked elsewhere: in another process, say."""
    for listening in _noting.get():
        for question, said in noted.items():
            listening.setdefault(question, said)


class Answers:
    """What the file system answers now: each question is asked once."""

    def __init__(self) -> None:
        self._known: Noted = {}

    def are(self, noted: Mapping[Question, str]) -> bool:
        """Whether all questions have the answers that were noted."""
        return all(self._answer(question) == answer for question, answer in noted.items())

    def _answer(self, question: Question) -> str:
        known = self._known.get(question)
        if known is None:
            known = self._known[question] = answer(question)
        return known


def answer(question: Question) -> str:
    """What the file system answers now."""
    return _ANSWERS[question.what](question.path, question.detail)


def digest(data: bytes) -> str:
    """What stands for the contents of a file."""
    return sha256(data).hexdigest()


def digest_of_names(names: list[Path]) -> str:
    """What stands for the names of files."""
    return digest("\0".join(map(str, names)).encode(errors="surrogateescape"))


def kind(path: str | Path) -> str:
    """ "file", "folder", "other", or "" when there is nothing, links followed."""
    try:
        mode = os.stat(path).st_mode  # noqa: PTH116 - much quicker than by Path, a thousand times
    except (OSError, ValueError):
        return ""
    return "file" if stat.S_ISREG(mode) else "folder" if stat.S_ISDIR(mode) else "other"


def _contents(path: str, limit: str) -> str:
    """A digest of a file as far as its limit; why it cannot be read, when it cannot."""
    try:
        if kind(path) != "file":  # a device is not even opened
            return f"not read: {kind(path)}"
        with os.fdopen(os.open(path, _FLAGS), "rb") as file:
            return _digest_of(file, int(limit) + 1)
    except (OSError, ValueError):
        return "not read: file"


def _digest_of(file: BinaryIO, most: int) -> str:
    """The digest of so many bytes, read in pieces: memory is taken for what is asked at once."""
    found = sha256()
    while most > 0 and (piece := file.read(min(most, _PIECE))):
        found.update(piece)
        most -= len(piece)
    return found.hexdigest()


def _kind(path: str, _: str) -> str:
    return kind(path)


def _leads(path: str, _: str) -> str:
    return os.path.realpath(path)


def _names(path: str, suffix: str) -> str:
    from rasterc.diagnostics import InputError
    from rasterc.files.finding import listed

    try:
        return digest_of_names(listed(Path(path), suffix))
    except InputError:
        return "not listed"


def _entries(path: str, suffix: str) -> str:
    from rasterc.files.finding import entries_of

    return digest_of_names(entries_of(Path(path), suffix))


def unread(path: str | Path) -> str:
    """The answer of a file that cannot be read."""
    return f"not read: {kind(path)}"


_ANSWERS: Mapping[str, Callable[[str, str], str]] = {
    "contents": _contents,
    "entries": _entries,
    "kind": _kind,
    "leads to": _leads,
    "names": _names,
}

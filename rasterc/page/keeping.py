"""The files of the plant: read, saved and made, and nothing outside its folder.

Nothing is written unless the page asks to save. What would be lost by that is said instead.
"""

from __future__ import annotations

import hashlib
import os
import re
from difflib import SequenceMatcher
from itertools import chain
from pathlib import Path
from threading import Lock

from msgspec import Struct

from rasterc import files
from rasterc.diagnostics import InputError
from rasterc.source.load import SUFFIX
from rasterc.source.parse import MAX_SOURCE_BYTES

_END = re.compile(r"\r\n|\r|\n")
_MARK = "\ufeff"


class Opened(Struct, frozen=True):
    """A file as the editor shows it, and the digest of its bytes."""

    file: str
    text: str
    digest: str


class Changed(Struct, frozen=True):
    """A save that was not made: the file is no longer what was read. Its text now, or none."""

    file: str
    text: str | None
    digest: str


class Keeper:
    """Reads and writes the message files below one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = Path(os.path.realpath(folder))
        self._saving = Lock()

    def path(self, name: str) -> Path:
        """The path of a message file of the folder; links are followed.

        Raises:
            InputError: it would lie outside, or is no message file.
        """
        path = self._below(name)
        if path is None or path.suffix != SUFFIX or ".." in Path(name).parts:
            said = f'"{name}" is no message file of this plant'
            help = f"name a file in its folder that ends in {SUFFIX}"
            raise InputError.one("outside-folder", said, help=help)
        return path

    def _below(self, name: str) -> Path | None:
        if not name or Path(name).is_absolute() or set(name) & set("\\:\0"):
            return None
        try:
            path = Path(os.path.realpath(self.folder / name))
        except (OSError, ValueError):
            return None
        return path if path.is_relative_to(self.folder) else None

    def name(self, path: Path) -> str:
        """What the page calls a file: its path from the folder, with slashes."""
        return Path(os.path.realpath(path)).relative_to(self.folder).as_posix()

    def open(self, name: str) -> Opened:
        """A file for the editor: line feeds only, no byte order mark; raises `InputError`."""
        text = _text(self.path(name), name)
        shown = _END.sub("\n", text.removeprefix(_MARK))
        return Opened(name, shown, digest_of(text.encode()))

    def save(self, name: str, text: str, digest: str) -> Opened | Changed:
        """Write the editor's text over a file that was read with this digest.

        Its line ends, byte order mark, mode, owner and links stay. When its bytes have another
        digest nothing is written.

        Raises:
            InputError: it cannot be read or written, or would be too large.
        """
        path = self.path(name)
        with self._saving:
            if not files.is_there(path):
                return Changed(name, None, "")
            old = _text(path, name)
            now = digest_of(old.encode())
            if now != digest:
                return Changed(name, _END.sub("\n", old.removeprefix(_MARK)), now)
            data = _sized(with_ends_of(old, text))
            files.rewrite_file(path, data)
        return Opened(name, text, digest_of(data))

    def create(self, name: str, text: str) -> Opened:
        """Write a new file.

        Raises:
            InputError: there is one, or it cannot be written.
        """
        path = self.path(name)
        with self._saving:
            if files.is_there(path):
                said = f"there is a file {name} already"
                raise InputError.one("file-exists", said, help="choose another name")
            data = _sized(text)
            files.write_file(path, data)
        return Opened(name, text, digest_of(data))

    def append(self, path: Path, text: str) -> None:
        """Write a text behind what a file of the plant holds; raises `InputError`."""
        with self._saving:
            old = _text(path, path.name)
            end = "\r\n" if "\r\n" in old else "\n"
            whole = old if old.endswith(("\n", "\r")) or not old else old + end
            files.rewrite_file(path, _sized(whole + text.replace("\n", end)))


def digest_of(data: bytes) -> str:
    """What tells the bytes of one file from others."""
    return hashlib.sha256(data).hexdigest()


def with_ends_of(old: str, text: str) -> str:
    """A text of line feeds with the line ends, and the byte order mark, of what it replaces.

    A line that stayed keeps its own end; a new one takes that of the line before it.

    >>> with_ends_of("a\\r\\nb\\nc", "a\\nx\\nb\\nc")
    'a\\r\\nx\\r\\nb\\nc'
    """
    mark = _MARK if old.startswith(_MARK) else ""
    ends = _END.findall(old)
    if set(ends) <= {"\n"}:
        return mark + text
    before = _END.sub("\n", old.removeprefix(_MARK)).split("\n")
    after = text.split("\n")
    kept: dict[int, str] = {}
    for block in SequenceMatcher(None, before, after, autojunk=False).get_matching_blocks():
        for step in range(block.size):
            if block.a + step < len(ends):
                kept[block.b + step] = ends[block.a + step]
    return mark + "".join(
        chain.from_iterable(zip(after, _spread(kept, len(after), ends[0]), strict=True))
    )


def _spread(kept: dict[int, str], lines: int, first: str) -> list[str]:
    """The end of each line but the last, which has none."""
    found, end = list[str](), first
    for line in range(lines - 1):
        end = kept.get(line, end)
        found.append(end)
    return [*found, ""]


def _text(path: Path, name: str) -> str:
    remedy = "split it into several files"
    return files.read_text(path, MAX_SOURCE_BYTES, name=name, remedy=remedy)


def _sized(text: str) -> bytes:
    try:
        data = text.encode()
    except UnicodeEncodeError:
        said = "the text holds half a character, which no file can keep"
        raise InputError.one("not-text", said, help="delete it and type it again") from None
    if len(data) > MAX_SOURCE_BYTES:
        said = f"the text is larger than {MAX_SOURCE_BYTES >> 20} MiB"
        raise InputError.one("too-large", said, help="split it into several files")
    return data

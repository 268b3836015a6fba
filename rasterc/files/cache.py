"""Results kept in the user's cache folder, by a digest of all that they depend on.

Every entry is a file of its own, with a check sum over its name and contents: what does not fit it
is never taken. Files are written beside and renamed, so that other processes see whole ones. The
folder may be deleted at any time. It has a shelf for each first digit of a digest; the entries of
a shelf that were not used for longest go when it is full.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

VARIABLE = "RASTERC_CACHE"
OFF = "off"
FLIGHTS, VERDICTS = NAMES = "flights", "verdicts"
"""The caches of a user, each in a folder of its own."""
MOST_BYTES = 256 << 20
SHELVES = "0123456789abcdef"
_BEGINS = b"rasterc kept 1\n"
_SUFFIX, _UNFINISHED = ".kept", ".part"


@dataclass(frozen=True, slots=True)
class Entry:
    """What is kept: what it is, in words, and how large its file is."""

    what: str
    size: int


@dataclass(frozen=True, slots=True)
class Cache:
    """A folder of results, of at most so many bytes; whatever goes wrong there, nothing is kept.

    Keys are digests in hexadecimal.
    """

    folder: Path
    most_bytes: int = MOST_BYTES

    def get(self, key: str) -> bytes | None:
        """What was kept under a key; None when there is nothing, or something damaged."""
        path = self._path(key)
        found = _opened(key, _read(path, self.most_bytes))
        if found is None:
            with suppress(OSError):
                path.unlink()
            return None
        with suppress(OSError):
            os.utime(path)
        return found[1]

    def put(self, key: str, what: str, data: bytes) -> None:
        """Keep data under a key; ``what`` says in one line what it is."""
        path, room = self._path(key), self.most_bytes // len(SHELVES)
        sealed = _sealed(key, what, data)
        if len(sealed) > room:
            return
        part = path.with_name(f"{os.urandom(8).hex()}{_UNFINISHED}")
        try:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            _make_room(path.parent, room - len(sealed))
            part.write_bytes(sealed)
            part.replace(path)
        except BaseException as error:  # a stop leaves no half file either
            with suppress(OSError):
                part.unlink()
            if not isinstance(error, OSError):
                raise

    def entries(self) -> Iterator[Entry]:
        """All that is kept and whole."""
        for path in _files(self.folder, SHELVES):
            found = _opened(path.stem, _read(path, self.most_bytes))
            if found is not None:
                yield Entry(found[0], path.stat().st_size)

    def clear(self) -> int:
        """Delete what is kept; how many files that were. Nothing else in the folder is touched."""
        gone = 0
        for path in _files(self.folder, SHELVES, (_SUFFIX, _UNFINISHED)):
            with suppress(OSError):
                path.unlink()
                gone += 1
        return gone

    def _path(self, key: str) -> Path:
        return self.folder / key[0] / f"{key}{_SUFFIX}"


def user_cache(name: str) -> Cache | None:
    """The user's cache of that name; None when `VARIABLE` is "off", else it may name a folder."""
    wanted = os.environ.get(VARIABLE, "")
    if wanted == OFF:
        return None
    if wanted:
        return Cache(Path(wanted) / name)
    from platformdirs import user_cache_path

    return Cache(user_cache_path("rasterc", appauthor=False) / name)


def _sealed(key: str, what: str, data: bytes) -> bytes:
    contents = what.replace("\n", " ").encode() + b"\n" + data
    return _BEGINS + _check_sum(key, contents) + b"\n" + contents


def _opened(key: str, sealed: bytes | None) -> tuple[str, bytes] | None:
    """What an entry is, and its data; None for anything that was not put under this key."""
    if sealed is None or not sealed.startswith(_BEGINS):
        return None
    check_sum, _, contents = sealed.removeprefix(_BEGINS).partition(b"\n")
    if check_sum != _check_sum(key, contents):
        return None
    what, _, data = contents.partition(b"\n")
    return what.decode(), data


def _check_sum(key: str, contents: bytes) -> bytes:
    return sha256(key.encode() + b"\n" + contents).hexdigest().encode()


def _read(path: Path, most_bytes: int) -> bytes | None:
    with suppress(OSError):
        if path.is_file() and path.stat().st_size <= most_bytes:
            return path.read_bytes()
    return None


def _files(folder: Path, shelves: str, suffixes: tuple[str, ...] = (_SUFFIX,)) -> Iterator[Path]:
    """The files of the shelves; those of other names are not ours."""
    for shelf in shelves:
        with suppress(OSError):
            found = sorted((folder / shelf).iterdir())
            yield from (path for path in found if path.suffix in suffixes)


def _make_room(shelf: Path, room: int) -> None:
    """Delete the entries that were not used for longest until the others fit."""
    states = []
    for path in _files(shelf.parent, shelf.name, (_SUFFIX, _UNFINISHED)):
        with suppress(OSError):
            state = path.stat()
            states.append((state.st_mtime_ns, state.st_size, path))
    left = sum(size for _, size, _ in states) - room
    for _, size, path in sorted(states):
        if left <= 0:
            return
        with suppress(OSError):
            path.unlink()
        left -= size

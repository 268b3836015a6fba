"""What there is below a path. Names that no file can have are answered, never raised."""

from __future__ import annotations

import os
from pathlib import Path

from rasterc.diagnostics import InputError
from rasterc.files.answers import Question, digest_of_names, kind, note
from rasterc.files.seen import reason

MAX_FOUND = 20_000
"""Files looked at below one folder."""


def is_file(path: str | Path) -> bool:
    """Whether there is a regular file."""
    return _kind(path) == "file"


def is_folder(path: str | Path) -> bool:
    """Whether there is a folder."""
    return _kind(path) == "folder"


def is_there(path: str | Path) -> bool:
    """Whether there is anything, links followed."""
    return _kind(path) != ""


def _kind(path: str | Path) -> str:
    found = kind(path)
    note(Question("kind", str(path)), lambda: found)
    return found


def real_path(path: str | Path) -> Path:
    """Where a path leads, links followed; of links that go round in a circle, one of them."""
    found = os.path.realpath(path)  # never raises for circles; reading then does
    note(Question("leads to", str(path)), lambda: found)
    return Path(found)


def find_files(folder: Path, suffix: str) -> list[Path]:
    """What lies below a folder, folders left out, whose name ends in ``suffix``, in order.

    Links to folders are not followed.

    Raises:
        InputError: a folder cannot be listed, or there are more than `MAX_FOUND`.
    """
    found = listed(folder, suffix)
    note(Question("names", str(folder), suffix), lambda: digest_of_names(found))
    return found


def entries(folder: Path, suffix: str) -> list[Path]:
    """What lies in a folder itself and has a name that ends in ``suffix``, in order; nothing when
    it cannot be listed."""
    found = entries_of(folder, suffix)
    note(Question("entries", str(folder), suffix), lambda: digest_of_names(found))
    return found


def entries_of(folder: Path, suffix: str) -> list[Path]:
    """As `entries`, not noted."""
    try:
        return sorted(path for path in folder.iterdir() if path.name.endswith(suffix))
    except (OSError, ValueError):
        return []


def listed(folder: Path, suffix: str) -> list[Path]:
    """As `find_files`, not noted."""
    found: list[Path] = []
    for where, _, names in os.walk(folder, onerror=_unreadable):
        found += [Path(where, name) for name in names if name.endswith(suffix)]
        if len(found) > MAX_FOUND:
            said = f"{folder} holds more than {MAX_FOUND:,} files that end in {suffix}"
            raise InputError.one("too-large", said, help="name the folders below it one by one")
    return sorted(found)


def _unreadable(error: OSError) -> None:
    said = f"cannot read the folder {error.filename}: {reason(error)}"
    raise InputError.one("cannot-read", said, help="may you list it?")

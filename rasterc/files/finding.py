"""What there is below a path. Names that no file can have are answered, never raised."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable
from pathlib import Path

from rasterc.diagnostics import InputError
from rasterc.files.seen import reason

MAX_FOUND = 20_000
"""Files looked at below one folder."""


def is_file(path: str | Path) -> bool:
    """Whether there is a regular file."""
    return _is(path, stat.S_ISREG)


def is_folder(path: str | Path) -> bool:
    """Whether there is a folder."""
    return _is(path, stat.S_ISDIR)


def is_there(path: str | Path) -> bool:
    """Whether there is anything, links followed."""
    return _is(path, lambda _: True)


def _is(path: str | Path, test: Callable[[int], bool]) -> bool:
    try:
        return test(Path(path).stat().st_mode)
    except (OSError, ValueError):
        return False


def find_files(folder: Path, suffix: str) -> list[Path]:
    """What lies below a folder, folders left out, whose name ends in ``suffix``, in order.

    Links to folders are not followed.

    Raises:
        InputError: a folder cannot be listed, or there are more than `MAX_FOUND`.
    """
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

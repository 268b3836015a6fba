"""Files of our own that long work keeps on the way: written whole, read back, and swept at the end.

They lie in a folder made for them, and nothing else is looked for or touched there.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from rasterc.diagnostics import InputError
from rasterc.files import disk
from rasterc.files.seen import reason


def keep_file(path: Path, data: disk.Data) -> None:
    """Write a file of ours, whole or not at all; raises `InputError`."""
    try:
        disk.new(path, data)
    except (OSError, ValueError) as error:
        said = f"cannot write {path}: {reason(error)}"
        help = "make room, or allow it, and start again: what is done is kept"
        raise InputError.one("cannot-write", said, help=help) from None


def open_kept(path: Path) -> BinaryIO:
    """A file of ours, to be read; raises `InputError`."""
    try:
        return path.open("rb")
    except OSError as error:
        said = f"cannot read {path}: {reason(error)}"
        help = "start again: what is missing is done anew"
        raise InputError.one("cannot-read", said, help=help) from None


def kept_file(path: Path) -> bytes:
    """All of a file of ours; raises `InputError`."""
    with open_kept(path) as file:
        return file.read()


def filled(folder: Path) -> bool:
    """Whether something lies in a folder, but for what a killed program of ours left there; or
    there is a file of that name."""
    try:
        return any(not path.name.startswith(".rasterc-") for path in folder.iterdir())
    except FileNotFoundError:
        return False
    except OSError:
        return True


def sweep(folder: Path, pattern: str) -> None:
    """Delete the files of ours in a folder, left-over temporary ones too, and the folder itself
    unless something else lies there."""
    for path in [*folder.glob(pattern), *folder.glob(".rasterc-*.tmp")]:
        with suppress(OSError):
            path.unlink()
    with suppress(OSError):
        folder.rmdir()

"""Writing a file so that it is there whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from rasterc.diagnostics import InputError


def write_whole(path: Path, data: bytes) -> None:
    """Write ``data`` to a temporary file beside ``path``, then rename it into place.

    Of a symbolic link the file it leads to is written.

    Raises:
        InputError: the folder does not exist or cannot be written.
    """
    path = Path(os.path.realpath(path))
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    except OSError as error:
        raise _cannot_write(path, error) from None
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(temporary).chmod(0o666 & ~_umask())
        Path(temporary).replace(path)
    except BaseException as error:
        Path(temporary).unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise _cannot_write(path, error) from None
        raise


def _umask() -> int:
    current = os.umask(0)
    os.umask(current)
    return current


def _cannot_write(path: Path, error: OSError) -> InputError:
    return InputError.one(
        "cannot-write",
        f"cannot write {path}: {error.strerror}",
        help="name a file in a folder that exists and that you may write to",
    )

"""Writing files that the command has not read, each once, whole or not at all."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterable
from pathlib import Path

from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors
from rasterc.files import disk
from rasterc.files.finding import is_folder
from rasterc.files.seen import Key, key_of, kind_of, overwritten, reason, seen


def check_outputs(paths: Iterable[str | Path | None]) -> None:
    """Refuse, before long work, what `write_file` would refuse after it; None is passed over.

    From then on the command cannot read these files either.

    Raises:
        InputError: with every path that cannot be written, was read, or is given twice.
    """
    now, faults, keys = seen(), list[Diagnostic](), set[Key]()
    for path in paths:
        if path is None:
            continue
        try:
            key = key_of(path, _target(path))
            _refuse_seen(path, key, now.read, now.written | keys)
            keys |= {key} - {""}
        except InputError as error:
            faults += error.diagnostics
    fail_on_errors(faults)
    now.wanted |= keys


def write_file(path: str | Path, data: disk.Data) -> None:
    """Write a file whole or not at all, at once or piece by piece; "-" is standard output.

    A file that is there keeps its mode, owner and names (links). Devices are written into, and
    pipes that somebody reads.

    Raises:
        InputError: the command has read or written the file, it is write-protected or a folder, or
            it cannot be written for another reason.
    """
    state, now = _target(path), seen()
    key = key_of(path, state)
    _refuse_seen(path, key, now.read, now.written)
    _write(path, state, data)
    now.written |= {key, _key_now(path)} - {""}


def rewrite_file(path: str | Path, data: bytes) -> None:
    """`write_file` for a file that the command has read in order to change it."""
    _write(path, _target(path), data)


def claim_file(path: str | Path) -> bool:
    """Take a file that a library reads and writes for us; whether it is there yet.

    From then on the command neither reads nor writes it in another way.

    Raises:
        InputError: all of `write_file`, and anything but a regular file.
    """
    state, now = _target(path), seen()
    if state is not None and not stat.S_ISREG(state.st_mode):
        raise _cannot_write(path, f"it is {kind_of(state)}")
    key = key_of(path, state)
    _refuse_seen(path, key, now.read, now.written | now.wanted)
    if state is not None:  # a new one is noted as it is made
        now.read.add(key)
    return state is not None


def make_folder(path: Path) -> None:
    """Make a folder unless it is there; raises `InputError`."""
    try:
        path.mkdir(exist_ok=True)
    except (OSError, ValueError) as error:
        said = f"cannot make the folder {path}: {reason(error)}"
        help = "name a folder whose parent exists and that you may write to"
        raise InputError.one("cannot-write", said, help=help) from None


def _key_now(path: str | Path) -> Key:
    """The key of a file just written, which may have another inode now."""
    try:
        return key_of(path, None if str(path) == "-" else Path(path).stat())
    except OSError:
        return ""


def _target(path: str | Path) -> os.stat_result | None:
    """What lies at a path that is to be written, None when nothing does.

    Raises:
        InputError: it cannot be written, as far as can be told without opening it.
    """
    if str(path) == "-":
        return None
    try:
        state = Path(path).stat()
    except FileNotFoundError:
        _refuse_folder(path)
        return None
    except (OSError, ValueError) as error:
        raise _cannot_write(path, reason(error)) from None
    if stat.S_ISREG(state.st_mode):
        # the first for root, who may write everything
        if not state.st_mode & 0o222 or not os.access(path, os.W_OK):
            raise _cannot_write(path, "it is write-protected")
    elif not stat.S_ISCHR(state.st_mode) and not stat.S_ISFIFO(state.st_mode):
        raise _cannot_write(path, f"it is {kind_of(state)}")
    return state


def _refuse_folder(path: str | Path) -> None:
    """Refuse a new file whose folder is not there or may not be written to."""
    folder = Path(os.path.realpath(path)).parent
    if not is_folder(folder):
        raise _cannot_write(path, f"there is no folder {folder}")
    if not os.access(folder, os.W_OK | os.X_OK):
        raise _cannot_write(path, f"you may not write to the folder {folder}")


def _refuse_seen(path: str | Path, key: Key, read: set[Key], written: set[Key]) -> None:
    if key in read:
        raise overwritten(str(path))
    if key in written:
        said = f"{'standard output' if key == '-' else path} would be written twice"
        raise InputError.one("written-twice", said, help="give each output a name of its own")


def _write(path: str | Path, state: os.stat_result | None, data: disk.Data) -> None:
    try:
        if str(path) == "-":
            disk.into_stream(sys.stdout, data)
        elif state is None:
            disk.new(Path(os.path.realpath(path)), data)
        elif stream := disk.stream_of(state):
            disk.into_stream(stream, data)
        elif stat.S_ISREG(state.st_mode):
            disk.replace(Path(os.path.realpath(path)), state, data)
        else:
            disk.into_device(path, data)
    except (OSError, ValueError) as error:
        raise _cannot_write(path, reason(error)) from None


def _cannot_write(path: str | Path, why: str) -> InputError:
    help = "name a file in a folder that exists and that you may write to"
    name = "to standard output" if str(path) == "-" else str(path)
    return InputError.one("cannot-write", f"cannot write {name}: {why}", help=help)

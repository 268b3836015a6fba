"""Waiting until the file system answers otherwise than it did.

What a look asked of the file system is noted; it is worth another look as soon as one of the
answers is another one. So whatever it depends on is watched, files that are not there too, and a
file that was only touched is none of its business.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path

from rasterc.diagnostics import InputError
from rasterc.files import is_folder
from rasterc.files.answers import Answers, Noted, Question, answer
from rasterc.sweep.extras import needed

_QUIET_MS = 60  # files are at rest for so long before they are looked at
_AT_MOST_MS = 600
_WAKE_MS = 300  # Ctrl-C is seen so soon
_MAX_FOLDERS = 5_000


def check_watching() -> None:
    """Refuse to begin where files cannot be watched; raises `InputError` naming the extra."""
    needed("watchfiles", "watch", "watching files")


def wait_for_change(noted: Noted) -> tuple[str, ...]:
    """Wait until an answer is another one; the paths it is about, in order.

    Raises:
        InputError: the system watches no more files.
    """
    try:
        return _wait(noted)
    except (OSError, RuntimeError) as error:  # too many files are watched on this machine, say
        said = f"files cannot be watched: {error}"
        help = "WATCHFILES_FORCE_POLLING=1 in the environment looks at them again and again"
        raise InputError.one("cannot-watch", said, help=help) from None


def _wait(noted: Noted) -> tuple[str, ...]:
    while True:
        folders = folders_of(noted)
        for _ in _events(folders):
            if changed := changes(noted):
                return changed
            if folders_of(noted) != folders:
                break


def changes(noted: Mapping[Question, str]) -> tuple[str, ...]:
    """What of that which was asked is answered otherwise now."""
    if Answers().are(noted):
        return ()
    found = dict.fromkeys(one.path for one, said in noted.items() if answer(one) != said)
    return tuple(found)


def folders_of(noted: Noted) -> tuple[Path, ...]:
    """The folders in which something must happen before an answer can change."""
    found: set[Path] = set()
    for question in noted:
        path = Path(question.path).absolute()
        found |= {_there(path.parent), _there(Path(os.path.realpath(path)).parent)}
        if question.what == "names":
            found |= set(_below(path))
        elif question.what == "entries":
            found.add(_there(path))
    return tuple(sorted(found))


def _below(folder: Path) -> Iterator[Path]:
    """A folder and those below it."""
    yield from (Path(where) for where, _, _ in islice(os.walk(folder), _MAX_FOLDERS))


def _there(folder: Path) -> Path:
    """The folder, or the nearest above it that is there."""
    return next(one for one in (folder, *folder.parents) if is_folder(one))


def _events(folders: Sequence[Path]) -> Iterator[object]:
    """Whenever something happened in the folders; and once soon, for what happened before."""
    watchfiles = needed("watchfiles", "watch", "watching files")
    seen = False
    for events in watchfiles.watch(
        *folders, watch_filter=None, debounce=_AT_MOST_MS, step=_QUIET_MS,
        rust_timeout=_WAKE_MS, yield_on_timeout=True, recursive=False,
        ignore_permission_denied=True,
    ):  # fmt: skip
        if events or not seen:
            yield events
        seen = True

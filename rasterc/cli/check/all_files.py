"""All files that `rasterc check` is asked for: one after the other, or in many processes."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from rasterc.cli.check.checked import Asked, Broken, Checked, Looked, look_at
from rasterc.cli.common import no_message, settable, unknown_settings
from rasterc.cli.progress import Progress, progress
from rasterc.diagnostics import Diagnostic, InputError, did_you_mean, fail_on_errors
from rasterc.files import find_files, is_folder
from rasterc.source.load import SUFFIX, load_messages

STANDARD_INPUT = Path("-")
ENOUGH = 8
"""So many files are done before other processes have started."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What could be checked, what could not, and what is to be said beside it."""

    checked: Sequence[Checked]
    broken: Sequence[Broken]
    noted: Sequence[Diagnostic] = ()

    def faults(self) -> Iterable[Diagnostic]:
        """What is wrong with the input, each fault once."""
        return dict.fromkeys(fault for one in self.broken for fault in one.faults)


def look(paths: Sequence[Path], asked: Asked, workers: int | None) -> Outcome:
    """Check every message of files and folders.

    Raises:
        InputError: there is no message, none of the name asked for, or a setting of no message.
    """
    found = files_of(paths)
    if asked.given:
        _refuse_unknown(found, asked)
    with progress("files", len(found)) as shown:
        looked = list(_looked_at(found, asked, workers, shown))
    broken = [one for each in looked for one in each.broken]
    if all(one.message for one in broken):  # else a setting may belong to what cannot be read
        known = {name for each in looked for name in each.settable}
        fail_on_errors(list(unknown_settings(asked.given, known)))
    names = [name for each in looked for name in each.names]
    listed = ", ".join(map(str, paths))
    if asked.message is not None and asked.message not in names and not broken:
        said = f'{listed} holds no message "{asked.message}"'
        raise InputError.one("unknown-message", said, help=did_you_mean(asked.message, names))
    if not names and not broken:
        raise no_message(listed)
    noted = dict.fromkeys(note for each in looked for note in each.noted)
    return Outcome([one for each in looked for one in each.checked], broken, tuple(noted))


def _refuse_unknown(found: Sequence[Path], asked: Asked) -> None:
    """Refuse, before the work, a setting that no message has.

    What cannot be read, or not twice, may have it: then it is told at the end.
    """
    if STANDARD_INPUT in found:
        return
    try:
        known = settable(one for path in found for one in load_messages(path).values())
    except InputError:
        return
    fail_on_errors(list(unknown_settings(asked.given, known)))


def files_of(paths: Sequence[Path]) -> list[Path]:
    """The files themselves, and the message files below folders, each once, in order.

    Raises:
        InputError: a folder cannot be read, or holds no message file.
    """
    found: dict[str, Path] = {}
    for path in paths:
        below = find_files(path, SUFFIX) if is_folder(path) else [path]
        if not below:
            raise no_message(path)
        for one in below:
            found.setdefault("-" if one == STANDARD_INPUT else os.path.realpath(one), one)
    return list(found.values())


def _looked_at(
    found: Sequence[Path], asked: Asked, workers: int | None, shown: Progress | None
) -> Iterator[Looked]:
    """What came of every file, in order."""
    many = workers if workers is not None else _cores() if len(found) > ENOUGH else 1
    apart = [path for path in found if path != STANDARD_INPUT] if many > 1 else []
    done: dict[Path, Looked] = {}
    if len(apart) > 1:
        from rasterc.processes import work_off

        with closing(work_off(partial(look_at, asked), apart, min(many, len(apart)))) as all_done:
            for path, looked in all_done:
                done[path] = looked
                if shown:
                    shown.step()
    for path in found:
        if path not in done:
            done[path] = look_at(asked, path, shown.doing if shown else None)
            if shown:
                shown.step()
        yield done[path]


def _cores() -> int:
    """The processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1

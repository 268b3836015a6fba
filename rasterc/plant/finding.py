"""Where a plant file is, and what it names in its folder."""

from __future__ import annotations

import os
from collections.abc import Sequence
from fnmatch import fnmatchcase
from functools import cache
from itertools import groupby
from pathlib import Path

from rasterc.diagnostics import InputError
from rasterc.files import find_files, is_file, is_folder, real_path
from rasterc.source.suffix import SUFFIX

PLANT_FILE = "plant.toml"


def find_plant(start: Path) -> Path | None:
    """The plant file in a folder or the nearest one above it.

    It is named as seen from the folder somebody stands in when ``start`` was.
    """
    here = Path(os.path.realpath(start))
    for folder in (here, *here.parents):
        if is_file(folder / PLANT_FILE):
            found = folder / PLANT_FILE
            return found if start.is_absolute() else Path(os.path.relpath(found))
    return None


class Ground:
    """The folder of a plant: what lies in it, by the names that its file uses."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._root = real_path(folder)
        self._found = cache(lambda: find_files(folder, SUFFIX))
        self.key = cache(lambda path: str(real_path(path)))
        """What all names of one file have in common."""

    def path(self, text: str) -> Path:
        """A file that is named.

        Raises:
            InputError: the name is not relative, leads outside the folder, or to no file.
        """
        if Path(text).is_absolute() or "\\" in text or ":" in text:
            help = "write it from the folder of the plant file, with /"
            raise InputError.one("bad-path", f'the path "{text}" is not relative', help=help)
        path = self.folder / text
        if not self._holds(path):
            said = f'"{text}" lies outside the folder of the plant file'
            raise InputError.one("outside-root", said, help="move it, or the plant file")
        if not is_file(path):
            help = "is the name right? it starts at the folder of the plant file"
            if is_folder(path):
                help = f'it is a folder: write "{text}/**/*{SUFFIX}"'
            raise InputError.one("no-such-file", f'there is no file "{text}"', help=help)
        return path

    def messages(self, text: str) -> list[Path]:
        """The message files that a pattern means, in order.

        Raises:
            InputError: there is none, one leads outside the folder, or folders cannot be listed.
        """
        found = [path for path in self._found() if self.means(text, path)]
        if not found:
            help = "is the pattern right? * is any part of a name, ** any folders"
            said = f'no {SUFFIX} file is meant by "{text}"'
            raise InputError.one("no-such-file", said, help=help)
        for path in found:
            if not self._holds(path):
                said = f'"{text}" finds {path.name}, which leads outside the folder'
                raise InputError.one("outside-root", said, help="move the file into the folder")
        return found

    def everything(self) -> list[Path]:
        """Every message file below the folder, in order."""
        return self._found()

    def means(self, text: str, path: Path) -> bool:
        """Whether a name or a pattern means a file in the folder."""
        return _is_meant(path.relative_to(self.folder).parts, _segments(text))

    def name(self, path: Path) -> str:
        """A file in the folder as a plant file names it."""
        return path.relative_to(self.folder).as_posix()

    def _holds(self, path: Path) -> bool:
        return real_path(path).is_relative_to(self._root)


def is_pattern(text: str) -> bool:
    """Whether a name stands for many."""
    return any(char in text for char in "*?[")


def _segments(text: str) -> tuple[str, ...]:
    """The parts of a pattern; ``**`` many times in a row is once."""
    parts = [part for part in text.split("/") if part not in ("", ".")]
    return tuple(
        part for key, group in groupby(parts) for part in ((key,) if key == "**" else group)
    )


def _is_meant(parts: Sequence[str], wanted: Sequence[str]) -> bool:
    """Whether a pattern means a path; row by row, so that many ``**`` cost no more."""
    reached = {0}  # parts of the pattern that are used up
    for part in parts:
        reached = _skipped(reached, wanted)
        onward = {at for at in reached if at < len(wanted) and wanted[at] == "**"}
        matched = {at for at in reached - onward if at < len(wanted)}
        reached = onward | {at + 1 for at in matched if fnmatchcase(part, wanted[at])}
    return len(wanted) in _skipped(reached, wanted)


def _skipped(reached: set[int], wanted: Sequence[str]) -> set[int]:
    """Places in a pattern, and those behind a ``**`` that stands for no folder."""
    return reached | {at + 1 for at in reached if at < len(wanted) and wanted[at] == "**"}

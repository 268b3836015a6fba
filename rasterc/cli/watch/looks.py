"""What is looked at: what is done in one look, and all that it says."""

from __future__ import annotations

import os
import shlex
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.cli.exits import EXIT_BAD_INPUT
from rasterc.cli.plants import chosen_plant
from rasterc.cli.watch.screen import Part, run_command, said_by
from rasterc.diagnostics import InputError, visible
from rasterc.files import is_folder, is_there
from rasterc.plant import find_plant, load_plant

if TYPE_CHECKING:
    from rasterc.plant import Plant, Run

_PLACES = ("show", "check", "list")
"""In which order they are shown; they are run in another: what matters most comes first."""


class _Step(Struct, frozen=True):
    """One thing that is done: what it is called, how it is typed, and the work."""

    name: str
    typed: str
    work: Callable[[], int]


class Options(Struct, frozen=True):
    """Options of the command, which are those of `show` and `check`."""

    at: str | None = None
    settings: Sequence[str] = ()
    profile: Path | None = None
    message: str | None = None
    fonts: Sequence[Path] = ()
    everything: bool = False

    def given(self, run: Run | None = None) -> Iterator[str]:
        """As they are typed, without those of `check` alone; what is left out is the run's."""
        line = run.line if run else None
        profile = self.profile or (line.profile if line else None)
        for name, value in (
            ("--at", self.at or (run.at if run else None)),
            ("--profile", profile),
            ("--message", self.message),
        ):
            yield from () if value is None else (name, str(value))
        for setting in self.settings or (run.settings if run else ()):
            yield from ("--set", setting)
        for folder in self.fonts:
            yield from ("--fonts", str(folder))


class Look(Struct, frozen=True):
    """What was seen in one look: the worst exit code of its commands, and what they said."""

    code: int
    parts: tuple[Part, ...]


def is_of_plant(place: Path | None) -> bool:
    """Whether a plant is meant, not a message file; raises `InputError` when nothing is there."""
    if place is None:
        return True
    if not is_there(place):
        said = f"there is nothing called {place}"
        raise InputError.one("cannot-read", said, help="is the name right?")
    return is_folder(place) or place.suffix == ".toml"


def look_at(place: Path | None, options: Options, changed: Sequence[str]) -> Look:
    """Look at a message file, or at a plant and those of its messages that have changed.

    A message file of a plant is held against every line that it runs on, unless a profile is given.
    """
    code, parts = 0, list[Part]()
    checked = False  # then what is wrong has been said
    try:
        for step in _steps(place, options, changed):
            if step.name == "show" and code == EXIT_BAD_INPUT:
                continue
            ended, said = said_by(step.work, notes=not checked)
            code, checked = max(code, ended), checked or step.name == "check"
            parts += [Part(said, step.typed, _PLACES.index(step.name))] * bool(said)
    except InputError as error:  # a plant file with faults: it will be mended
        told = (visible(line) for fault in error.diagnostics for line in fault.lines())
        parts.append(Part(tuple(told), "rasterc check"))
        code = EXIT_BAD_INPUT
    return Look(code, tuple(parts))


def _steps(place: Path | None, options: Options, changed: Sequence[str]) -> Iterator[_Step]:
    """What matters most first."""
    if place is None or is_of_plant(place):
        yield from _of_plant(chosen_plant(place), options, changed)
        return
    found = None if options.profile else find_plant(place.parent)
    runs = _runs_of(load_plant(found), place) if found else []
    if found and runs:
        yield _checked(found, options, [place], whole=False)
        yield _shown(place, options, runs[0])
    else:
        everything = ["--all"] * options.everything
        yield _command("check", str(place), *options.given(), *everything)
        yield _shown(place, options)


def _of_plant(plant: Plant, options: Options, changed: Sequence[str]) -> Iterator[_Step]:
    real = {os.path.realpath(path) for path in changed}
    files = [file for file in plant.files if os.path.realpath(file) in real]
    if plant.file:
        yield _checked(plant.file, options, files, whole=True)
    at = () if options.at is None else ("--at", options.at)
    yield _command("list", str(plant.file or plant.folder), "--sort", "state", *at)
    for file in files:
        yield _shown(file, options, _runs_of(plant, file)[0])


def _runs_of(plant: Plant, file: Path) -> list[Run]:
    """A message file on the lines of its plant."""
    real = os.path.realpath(file)
    return [run for run in plant.runs if os.path.realpath(run.file) == real]


def _shown(file: Path, options: Options, run: Run | None = None) -> _Step:
    return _command("show", str(file), *options.given(run))


def _command(*words: str) -> _Step:
    """A command of the program."""
    return _Step(words[0], f"rasterc {shlex.join(words)}", partial(run_command, words))


def _checked(plant: Path, options: Options, files: Iterable[Path], *, whole: bool) -> _Step:
    from rasterc.cli.check.wanted import Options as CheckOptions
    from rasterc.cli.watch.checking import check_in_plant

    asked = CheckOptions(
        options.at, None, None, options.everything, options.settings, None, options.message,
        options.fonts,
    )  # fmt: skip
    real = frozenset(map(os.path.realpath, files))
    return _Step("check", "rasterc check", partial(check_in_plant, plant, asked, real, whole=whole))

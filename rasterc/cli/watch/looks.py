"""What is looked at: the commands of one look, and all that they say."""

from __future__ import annotations

import os
import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.cli.exits import EXIT_BAD_INPUT
from rasterc.cli.plants import chosen_plant
from rasterc.cli.watch.screen import Part, said_by
from rasterc.diagnostics import InputError, visible
from rasterc.files import is_folder, is_there
from rasterc.plant import find_plant, load_plant

if TYPE_CHECKING:
    from rasterc.plant import Plant, Run

Command = tuple[str, ...]
_PLACES = ("show", "check", "list")
"""In which order they are shown; they are run in another: what matters most comes first."""


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
    try:
        for command in _commands(place, options, changed):
            shows = command[0] == "show"
            if shows and code == EXIT_BAD_INPUT:
                continue  # the check has said why
            ended, said = said_by(command, notes=not shows)
            code = max(code, ended)
            typed = f"rasterc {shlex.join(command)}"
            parts.append(Part(said, typed, _PLACES.index(command[0])))
    except InputError as error:  # a plant file with faults: it will be mended
        told = (visible(line) for fault in error.diagnostics for line in fault.lines())
        parts.append(Part(tuple(told), "rasterc list"))
        code = EXIT_BAD_INPUT
    return Look(code, tuple(parts))


def _commands(place: Path | None, options: Options, changed: Sequence[str]) -> Iterator[Command]:
    if place is not None and not is_of_plant(place):
        yield from _of_file(place, options, _runs_of(place, options))
        return
    plant = chosen_plant(place)
    found = [
        command
        for file in _files_of(plant, changed)
        for command in _of_file(file, options, [run for run in plant.runs if run.file == file])
    ]
    yield from (command for command in found if command[0] == "check")
    yield ("list", str(plant.file or plant.folder), "--sort", "state", *_at(options.at))
    yield from (command for command in found if command[0] == "show")


def _runs_of(file: Path, options: Options) -> Sequence[Run]:
    """The lines that a message file runs on in its plant, when no profile is given."""
    found = None if options.profile else find_plant(file.parent)
    if found is None:
        return ()
    real = os.path.realpath(file)
    return [run for run in load_plant(found).runs if os.path.realpath(run.file) == real]


def _files_of(plant: Plant, changed: Sequence[str]) -> list[Path]:
    """The message files that have changed."""
    real = {os.path.realpath(path) for path in changed}
    return [file for file in plant.files if os.path.realpath(file) in real]


def _of_file(file: Path, options: Options, runs: Sequence[Run]) -> Iterator[Command]:
    """Checked on each of its lines, shown on the first."""
    everything = ["--all"] * options.everything
    given = [tuple(options.given(run)) for run in runs] or [tuple(options.given())]
    for one in dict.fromkeys(given):
        yield ("check", str(file), *one, *everything)
    yield ("show", str(file), *given[0])


def _at(at: str | None) -> tuple[str, ...]:
    return () if at is None else ("--at", at)

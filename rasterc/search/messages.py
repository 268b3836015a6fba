"""The messages of a plant that codes are looked for in."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from functools import cached_property
from pathlib import Path

from msgspec import Struct

from rasterc.diagnostics import InputError, did_you_mean
from rasterc.domain.progress import Progress
from rasterc.plant import Plant
from rasterc.search.index import Index, IndexedMessage, index_of, plans_of
from rasterc.search.model import Unsure
from rasterc.values import Plan


class Place(Struct, frozen=True):
    """A message in the index: its file, and the lines of the plant that it runs on."""

    file: Path
    on: tuple[str, ...]
    message: IndexedMessage


class Messages:
    """The messages of a plant, each file read once.

    Args:
        plant: the plant.
        on: names of lines; messages that run on none of them are left out. All when empty.
        progress: told what is done when that takes long.

    Raises:
        InputError: there is no such line.
    """

    def __init__(self, plant: Plant, on: Collection[str], progress: Progress) -> None:
        self.plant = plant
        self.progress = progress
        self._on = _chosen(plant, on)
        self._plans: dict[Path, dict[str, Plan]] = {}

    @cached_property
    def index(self) -> Index:
        """What every message can print at all."""
        return index_of(self.plant, self.progress)

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """The messages that are looked at."""
        return tuple(
            Place(file, on, message)
            for file, on in self._on.items()
            for message in self.index.files[str(file)].messages
        )

    def unreadable(self) -> Iterator[Unsure]:
        """The files of which nothing can be said."""
        for file, on in self._on.items():
            fault = self.index.files[str(file)].fault
            if fault:
                yield Unsure(file, None, on, f"it cannot be read: {fault}")

    def plan(self, place: Place) -> Plan:
        """The plan of a message.

        Raises:
            InputError: its file has changed meanwhile, and cannot be read or lacks the message.
        """
        if place.file not in self._plans:
            self._plans[place.file] = {p.message.name: p for p in plans_of(place.file)}
        found = self._plans[place.file].get(place.message.name)
        if found is None:
            said = f"{place.file} was changed while it was looked at"
            raise InputError.one("changed-meanwhile", said, help="search again")
        return found


def _chosen(plant: Plant, on: Collection[str]) -> dict[Path, tuple[str, ...]]:
    """The files that are looked at, and the lines that each runs on."""
    known = [line.name for line in plant.lines]
    for name in on:
        if name not in known:
            said = f'the plant has no line "{name}"'
            raise InputError.one("unknown-line", said, help=did_you_mean(name, known))
    found: dict[Path, tuple[str, ...]] = {}
    for run in plant.runs:
        if run.line is None or not on or run.line.name in on:
            names = found.get(run.file, ())
            found[run.file] = names if run.line is None else (*names, run.line.name)
    return found

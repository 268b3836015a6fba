"""What all pages of one server share: the plant, what is remembered, the states, the news."""

from __future__ import annotations

import asyncio
import json
import secrets
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

from rasterc.diagnostics import InputError
from rasterc.fonts.library import FontBook
from rasterc.page.crew import Crew
from rasterc.page.finding import Wanted
from rasterc.page.memory import Memory
from rasterc.page.shelf import Shelf
from rasterc.page.states import State, States
from rasterc.page.watching import changes
from rasterc.plant import PLANT_FILE, folder_plant, load_plant

if TYPE_CHECKING:
    from rasterc.page.desk import Desk
    from rasterc.page.words import Vocabulary
    from rasterc.plant import Plant

MOST_PAGES = 12


class House:
    """A plant that is served."""

    def __init__(self, plant: Plant) -> None:
        self.shelf = Shelf(plant)
        self.memory = Memory(plant.folder)
        self.token = secrets.token_urlsafe(32)
        self.states = States(self.shelf, self._tell_state)
        self.crew = Crew()
        self.desks: dict[Desk, Callable[[dict[str, Any]], None]] = {}
        self.stamp = 0
        self._stop = asyncio.Event()
        self._tasks: list[asyncio.Task[None]] = []

    def begin(self) -> None:
        """Begin to look at the messages, and to watch the folder."""
        self._tasks = [
            asyncio.create_task(self.crew.begin()),
            asyncio.create_task(self.states.run()),
            asyncio.create_task(self._watch()),
        ]

    async def end(self) -> None:
        """End all that runs."""
        self._stop.set()
        self.states.end()
        self.crew.end()
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)

    def words(self, when: datetime) -> Vocabulary:
        """What can be written, at a moment."""
        from rasterc.page.words import vocabulary

        return vocabulary(when, FontBook(self.shelf.keeper.folder))

    def wanted(self, lines: Sequence[str], when: datetime) -> Wanted:
        """A code to look for, in the plant as its files are now."""
        plant = self.shelf.plant
        file = None if plant.file is None else str(plant.file)
        return Wanted(str(plant.folder), file, tuple(lines), when, self.stamp)

    def enter(self, name: str, line: str) -> None:
        """Have the plant name a new file, on a line or on all of them."""
        shelf = self.shelf
        self._renew({shelf.keeper.folder / PLANT_FILE})
        if shelf.plant.file is None or shelf.runs_of(name):
            return
        shelf.keeper.append(shelf.plant.file, _entry(name, line))
        self._renew({shelf.plant.file})

    def tell(self, news: dict[str, Any]) -> None:
        """Tell every page something it has not asked for."""
        for send in list(self.desks.values()):
            send({"news": news})

    def _tell_state(self, state: State) -> None:
        self.tell({"state": msgspec.to_builtins(state)})

    async def _watch(self) -> None:
        async for paths in changes(self.shelf.keeper.folder, self._stop):
            self.stamp += 1
            names = self._names(paths)
            unused = self.shelf.unused()
            await asyncio.to_thread(self._renew, paths)
            self.states.look_again(self.stamp, names <= unused)
            self.tell({"changed": sorted(names)})

    def _renew(self, paths: set[Path]) -> None:
        """Forget what was read; read the plant anew, unless it has mistakes now."""
        plant = self.shelf.plant
        with suppress(InputError):
            if plant.file is None:
                plant = folder_plant(plant.folder)
            elif any(path.name == plant.file.name for path in paths):
                plant = load_plant(plant.file)
        self.shelf.take(plant)

    def _names(self, paths: set[Path]) -> set[str]:
        names = set()
        for path in paths:
            with suppress(ValueError):
                names.add(self.shelf.keeper.name(path))
        return names


def _entry(file: str, line: str) -> str:
    """The table of a plant file that names a message. A TOML string is written as one of JSON."""
    on = f"lines = [{json.dumps(line, ensure_ascii=False)}]\n" if line else ""
    return f"\n[[message]]\nfile = {json.dumps(file, ensure_ascii=False)}\n{on}"

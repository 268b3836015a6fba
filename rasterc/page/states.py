"""The state of every message of the plant, looked at one after another in the background."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.diagnostics import InputError
from rasterc.page import jobs
from rasterc.page.crew import Post, SupersededError
from rasterc.page.days import Day
from rasterc.page.listing import entry_id
from rasterc.page.shelf import Shelf, now, settings_of
from rasterc.processes import WorkerEndedError

if TYPE_CHECKING:
    from rasterc.code import Code
    from rasterc.plant import Run

_SECONDS = 120


class State(Struct, frozen=True):
    """What is known of an entry: ``state`` is "clean", "note", "warning", "error" or "unknown"."""

    id: str
    state: str
    notes: int = 0
    warnings: int = 0
    errors: int = 0
    first: str = ""
    said: str = ""
    next_day: str = ""
    next_said: str = ""


Tell = Callable[[State], None]


class States:
    """Looks at the messages, and tells what it found as it goes along."""

    def __init__(self, shelf: Shelf, tell: Tell) -> None:
        self._shelf = shelf
        self._tell = tell
        self._known: dict[tuple[str, str], State] = {}
        self._post = Post(_SECONDS, gives_way=True)
        self._again = asyncio.Event()
        self._stamp = 0

    def known(self) -> tuple[State, ...]:
        """What is known of the entries as their files are now."""
        found = (self._known.get(key) for *_, key in self._wanted())
        return tuple(state for state in found if state is not None)

    def look_again(self, stamp: int, alone: bool) -> None:
        """Files have changed: look at what is not known any more.

        ``alone``: all of them are messages that no other file uses, so that the others stand.
        """
        self._stamp = stamp
        if not alone:
            self._known.clear()
        self._again.set()

    async def run(self) -> None:
        """Look at all that is not known, and again whenever files have changed."""
        while True:
            self._again.clear()
            wanted = await asyncio.to_thread(lambda: list(self._wanted()))
            for run, name, code, key in wanted:
                if self._again.is_set():
                    break
                if key not in self._known:
                    stamp, state = self._stamp, await self._look(run, name, code)
                    if stamp == self._stamp:  # else it may be of files that are other ones now
                        self._known[key] = state
                        self._tell(state)
            else:
                await self._again.wait()

    def end(self) -> None:
        """End the worker."""
        self._post.end()

    def _wanted(self) -> Iterator[tuple[Run, str, Code, tuple[str, str]]]:
        for run in self._shelf.plant.runs:
            name = self._shelf.keeper.name(run.file)
            loaded = self._shelf.file(name)
            for code in loaded.codes.values():
                line = run.line.name if run.line else ""
                yield run, name, code, (entry_id(name, code.message.name, line), loaded.digest)

    async def _look(self, run: Run, name: str, code: Code) -> State:
        line = run.line.name if run.line else ""
        id = entry_id(name, code.message.name, line)
        try:
            job = job_of(self._shelf, run, name, code, now(), self._stamp)
            found = await self._post.ask(self, jobs.look_ahead, job)
        except InputError as error:
            return State(id, "error", errors=1, first=error.diagnostics[0].message)
        except (WorkerEndedError, SupersededError) as error:
            said = f"could not be looked at: {error}"
            return State(id, "unknown", said=said)
        return _state(id, found.looked, found.day)


def _state(id: str, found: jobs.Looked, day: Day | None) -> State:
    count = dict.fromkeys(("error", "warning", "note"), 0)
    for one in found.findings:
        count[one.severity] += 1
    state = next((name for name, many in count.items() if many), "clean")
    first = found.findings[0].message if found.findings else ""
    ahead = (day.day, day.said) if day else ("", "")
    return State(
        id, state, count["note"], count["warning"], count["error"], first, found.said, *ahead
    )


def job_of(
    shelf: Shelf, run: Run | None, name: str, code: Code, when: datetime, stamp: int = 0
) -> jobs.Job:
    """The job of a file of the plant, with the values that the plant sets; raises `InputError`."""
    counters, inputs = settings_of(run, code)
    path = shelf.keeper.path(name)
    return jobs.Job(
        name, str(path.parent), code.message.span.source.text, code.message.name, when, counters,
        inputs, shelf.profile_of(run), silences_of(run), stamp, _years(shelf),
    )  # fmt: skip


def silences_of(run: Run | None) -> dict[str, str]:
    """The rules whose findings the plant accepts on a run, and why."""
    return {one.rule: one.because for one in (run.silences if run else ())}


def _years(shelf: Shelf) -> int:
    return shelf.plant.defaults.horizon_years

"""Work that takes long, in processes of their own: the newest wins, a stuck one is ended."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import suppress
from typing import Any, TypeVar

from rasterc.processes import Worker, WorkerEndedError

MEMORY_BYTES = 4 << 30
_PATIENCE = 3.0  # seconds that work out of date may still take
_Kind = tuple[object, Callable[..., Any]]
_Item = TypeVar("_Item")
_Result = TypeVar("_Result")


class SupersededError(Exception):
    """Something newer was asked for."""


class Post:
    """One worker for all pages. Of what a page asks for, only the newest of each kind counts."""

    def __init__(self, seconds: float, gives_way: bool = False) -> None:
        """Args: seconds: the longest an answer may take; gives_way: others have the processor
        first."""
        self._worker = Worker(MEMORY_BYTES, gives_way)
        self._seconds = seconds
        self._turns: dict[_Kind, int] = {}
        self._busy = asyncio.Lock()
        self._doing: tuple[_Kind, int] | None = None

    @property
    def pid(self) -> int | None:
        """The worker's process, if there is one."""
        return self._worker.pid

    async def ask(self, owner: object, work: Callable[[_Item], _Result], item: _Item) -> _Result:
        """Have the work done for an owner. What is out of date is given some seconds to end.

        Raises:
            SupersededError: the owner has asked for something newer meanwhile.
            InputError, WorkerEndedError: as `Worker.do`.
        """
        kind = owner, work
        turn = self._turns[kind] = self._turns.get(kind, 0) + 1
        asyncio.get_running_loop().call_later(_PATIENCE, self._end_older, kind, turn)
        async with self._busy:
            if turn != self._turns.get(kind):
                raise SupersededError
            self._doing = kind, turn
            try:
                return await asyncio.to_thread(self._worker.do, work, item, self._seconds)
            except WorkerEndedError:
                if turn != self._turns.get(kind):
                    raise SupersededError from None
                raise
            finally:
                self._doing = None

    def leave(self, owner: object) -> None:
        """An owner has gone: nothing is done for it any more."""
        for kind in [kind for kind in self._turns if kind[0] is owner]:
            turn = self._turns.pop(kind)
            self._end_older(kind, turn + 1)

    def end(self) -> None:
        """End the worker for good."""
        self._worker.end(for_good=True)

    def _end_older(self, kind: _Kind, turn: int) -> None:
        if self._doing and self._doing[0] == kind and self._doing[1] < turn:
            self._worker.end()


class Crew:
    """The workers that all pages share.

    Attributes:
        quick: what is looked at while somebody types.
        surveys: what is looked at over all values, when nobody types.
        long: what somebody has asked for, and waits for.
    """

    def __init__(self) -> None:
        self.quick = Post(30)
        self.surveys = Post(240)
        self.long = Post(240)

    async def begin(self) -> None:
        """Have what a check takes made ready, before somebody waits for it."""
        from rasterc.page import jobs

        with suppress(SupersededError, WorkerEndedError):
            await self.quick.ask(self, jobs.warm, "check")

    def leave(self, owner: object) -> None:
        """A page has gone."""
        for post in (self.quick, self.surveys, self.long):
            post.leave(owner)

    def end(self) -> None:
        """End all workers for good."""
        for post in (self.quick, self.surveys, self.long):
            post.end()

"""Working off tasks: from what is kept, in this process, in several, or on a cluster."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

from msgspec import structs

from rasterc.inspection.kept import Memory, files_of, keep, recall
from rasterc.inspection.tasks import Asked, Task
from rasterc.inspection.verdict import Looked

if TYPE_CHECKING:
    from collections.abc import Generator

    from rasterc.inspection.looking import Found

STANDARD_INPUT = "-"
ENOUGH = 8
"""So many files are done before other processes have started."""

Group = list[Task]
"""Tasks of one file, which are worked off together."""

Runner = Callable[[Sequence[Group]], "Generator[tuple[Group, list[Found]], None, None]"]
"""Looks at groups elsewhere; each with what came of it, as they come."""


class Shown(Protocol):
    """Is told how far it has come."""

    def step(self, done: int = 1) -> None:
        """So many more are done."""

    def doing(self, what: str) -> None:
        """This is done now."""


class Inspector:
    """Works off tasks.

    Attributes:
        read: every file that what was looked at depends on.
    """

    def __init__(
        self,
        now: datetime,
        memory: Memory | None = None,
        workers: int | None = None,
        runner: Runner | None = None,
    ) -> None:
        """Prepare to work.

        Args:
            now: when the rules are asked.
            memory: verdicts of earlier runs; None to look at everything anew.
            workers: so many processes; when not given, one for each processor if there are
                many files.
            runner: works tasks off elsewhere.
        """
        self._now, self._memory = now, memory
        self._workers, self._runner = workers, runner
        self.read: set[str] = set()

    def inspect(self, tasks: Sequence[Task], shown: Shown | None = None) -> list[Looked]:
        """What came of each task, in order.

        Raises:
            InputError: a worker was ended from outside.
        """
        done = self._known(tasks)
        if shown:
            shown.step(len(done))
        groups: dict[tuple[str, Asked], Group] = {}
        for task in tasks:
            if task not in done:
                groups.setdefault((task.file, task.asked), []).append(task)
        for group, found in self._looked_at(list(groups.values()), shown):
            for task, one in zip(group, found, strict=True):
                done[task] = self._keep(task, one)
            if shown:
                shown.step(len(group))
        return [done[task] for task in tasks]

    def _known(self, tasks: Sequence[Task]) -> dict[Task, Looked]:
        """What is known from before."""
        if self._memory is None:
            return {}
        known = {task: found for task in tasks if (found := recall(self._memory, task))}
        self.read |= self._memory.read
        return known

    def _looked_at(
        self, groups: Sequence[Group], shown: Shown | None
    ) -> Iterator[tuple[Group, list[Found]]]:
        """What came of every group, as they come."""
        here, apart = self._shared_out(groups)
        if apart:
            with closing(self._run(apart)) as all_done:
                yield from all_done
        if here:
            from rasterc.inspection.looking import look_at

            for group in here:
                yield group, look_at(group, shown.doing if shown else None)

    def _shared_out(self, groups: Sequence[Group]) -> tuple[Sequence[Group], Sequence[Group]]:
        """What is done in this process, and what elsewhere."""
        apart = [group for group in groups if group[0].file != STANDARD_INPUT]
        if self._runner is None and (self._number(len(groups)) < 2 or len(apart) < 2):
            return groups, ()
        return [group for group in groups if group[0].file == STANDARD_INPUT], apart

    def _number(self, groups: int) -> int:
        """How many processes are worth their start."""
        if self._workers is not None:
            return self._workers
        return cores() if groups > ENOUGH else 1

    def _run(self, groups: Sequence[Group]) -> Generator[tuple[Group, list[Found]], None, None]:
        if self._runner is not None:
            return self._runner(groups)
        from rasterc.inspection.looking import look_at
        from rasterc.processes import work_off

        return work_off(look_at, groups, min(self._number(len(groups)), len(groups)))

    def _keep(self, task: Task, found: Found) -> Looked:
        self.read |= files_of(found.noted)
        stamped = (structs.replace(one, looked_at=self._now) for one in found.looked.verdicts)
        looked = structs.replace(found.looked, verdicts=tuple(stamped))
        if self._memory is not None and task.file != STANDARD_INPUT:
            keep(self._memory, task, looked, found.noted)
        return looked


def cores() -> int:
    """The processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1

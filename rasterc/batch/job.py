"""A whole job: its parts, that no code is printed twice, its output and its manifest."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Any

import msgspec

from rasterc.batch.counting import Stop
from rasterc.batch.earlier import MANIFEST, Memory
from rasterc.batch.manifest import manifest_of
from rasterc.batch.outcome import Outcome
from rasterc.batch.parts import BLOCK, Done, PartReport, Task
from rasterc.batch.repeats import LIMIT, Lines, Repeat, across, compared
from rasterc.batch.source import Told
from rasterc.batch.work import Job, Progress
from rasterc.files import is_there, write_file


@dataclass(slots=True)
class _Run:
    """A job on its way. The only part of a short job is not kept on disk: ``whole`` holds it."""

    job: Job
    progress: Progress
    reports: dict[int, PartReport] = field(default_factory=dict)
    whole: Done | None = None
    keeps: bool = False
    stop: Stop | None = None
    resumed: int = 0

    def begin(self) -> None:
        """Go on with the parts that are there, if any are."""
        if self.job.order.alone or is_there(self.job.folder.path):
            self._keep()

    def _keep(self) -> None:
        self.job.folder.begin(msgspec.json.format(msgspec.json.encode(self.job.went_in)))
        self.keeps = True

    def parts(self) -> bool:
        """Do all parts; whether the job is worth going on with."""
        with closing(self.job.runner(self.job.order, self._tasks())) as done:
            for each in done:
                self._take(each)
                if self._is_hopeless():
                    return False
        return not self._is_hopeless()

    def _take(self, done: Done) -> None:
        if not self.keeps and self.whole is None:
            self.whole = done
        else:
            self._store(done)
        self._count(done.report)

    def _store(self, done: Done) -> None:
        if not self.keeps:
            self._keep()
        if self.whole is not None:
            self.job.folder.keep(self.whole)
            self.whole = None
        self.job.folder.keep(done)

    def _count(self, report: PartReport) -> None:
        self.reports[report.number] = report
        self.progress(report.read)

    def _is_hopeless(self) -> bool:
        found = self.reports.values()
        refused = sum(report.refused for report in found)
        if refused > (0 if self.job.strict else self.job.most_faults):
            return refused > self.job.most_faults
        return any(report.repeats for report in found) and not self.job.repeats_allowed

    def _tasks(self) -> Iterator[Task]:
        """The parts that are not there yet."""
        for task in self._all_tasks():
            kept = self.job.folder.kept(task.number, self.job.order.hashed) if self.keeps else None
            if kept is None or kept.read != task.count:
                yield task
            else:
                self.resumed += 1
                self._count(kept)

    def _all_tasks(self) -> Iterator[Task]:
        size = self.job.part_rows
        if self.job.order.counted is not None:
            self.stop, count = self.job.order.counted.stop, self.job.order.counted.count
            for number, first in enumerate(range(0, count, size)):
                yield Task(number, first, min(size, count - first))
            return
        number, first, told = 0, 0, list[Told]()
        for each in self.job.source.told(0, BLOCK):
            told.append(each)
            self.stop = each.stop
            if _rows(told) >= size:
                yield Task(number, first, _rows(told), tuple(told))
                number, first, told = number + 1, first + _rows(told), []
        if told:
            yield Task(number, first, _rows(told), tuple(told))

    def outcome(self, **more: Any) -> Outcome:
        """What came of it so far."""
        reports = tuple(self.reports[number] for number in sorted(self.reports))
        return Outcome(reports, self.stop, resumed=self.resumed, **more)

    def repeats(self) -> tuple[Repeat, ...]:
        """What repeats, within parts or across them."""
        found = [Repeat(*each) for report in self.reports.values() for each in report.repeats]
        alone = self.whole is not None and not self.job.earlier
        if not self.job.order.hashed or alone or len(found) >= LIMIT:
            return tuple(found[:LIMIT])
        memory = Memory(self.job.earlier)
        files = [*self._hashes(), *(memory.keep(self.job.folder) if self.job.earlier else ())]
        repeats = compared(across(files), lambda rows: self._lines(rows, memory)) if files else []
        return tuple(_named(repeats, memory))

    def _hashes(self) -> list[Path]:
        """The files of hashes of this job."""
        folder = self.job.folder
        if self.whole is not None:
            self._keep()
            folder.keep_hashes(self.whole.report.number, self.whole.hashes)
        return [folder.hashes(n) for n, report in sorted(self.reports.items()) if report.rows]

    def _lines(self, rows: Sequence[int], memory: Memory) -> dict[int, Lines]:
        compiler = self.job.order.setup.compiler()
        before = memory.found([row for row in rows if row < 0])
        found = {number: lines for number, (_, _, lines) in before.items()}
        for told in self.job.source.at([row for row in rows if row > 0]):
            block = compiler.block(told)
            texts = [block.texts(line) for line in range(len(block.words))]
            found |= {n: tuple(t[p] for t in texts) for p, n in enumerate(block.numbers.tolist())}
        return found

    def write(self, manifest: bytes) -> None:
        """Write the output, then its manifest; sweep the parts."""
        job = self.job
        if not job.order.alone:
            for name in job.kind.files:
                write_file(f"{job.out}{name}", job.kind.joined(name, self._readers(name)))
        write_file(f"{job.out}{MANIFEST}", manifest)
        self.sweep(parts=not job.order.alone)

    def sweep(self, *, parts: bool) -> None:
        """Delete what was kept and is not needed any more."""
        if self.keeps:
            self.job.folder.sweep(parts=parts)

    def _readers(self, name: str) -> list[Callable[[], bytes]]:
        if self.whole is not None:
            return [partial(self.whole.files.__getitem__, name)]
        filled = [number for number, report in sorted(self.reports.items()) if report.rows]
        return [partial(self.job.folder.read, number, name) for number in filled]


def run_job(
    job: Job,
    progress: Progress = lambda _: None,
    before_writing: Callable[[Outcome], None] = lambda _: None,
) -> Outcome:
    """Do a job: all of it, or nothing is written.

    ``before_writing`` is called once all is known, with what will come of it.

    Nothing is written when no row can be printed, more than ``most_faults`` cannot, a code repeats
    that may not, or anything is found in a strict job. A job that is stopped goes on from the parts
    that it has kept, when the same job is run again.

    Raises:
        InputError: rows that cannot be read, or an output that cannot be written.
    """
    run = _Run(job, progress)
    run.begin()
    go_on = run.parts()
    repeats = () if job.repeats_allowed else run.repeats()
    outcome = run.outcome(repeats=repeats, given_up=not go_on)
    before_writing(outcome)
    if not go_on or repeats or not outcome.rows or (job.strict and _anything(outcome)):
        run.sweep(parts=True)
        return outcome
    run.write(msgspec.json.format(msgspec.json.encode(manifest_of(job, outcome)), indent=1))
    return run.outcome(repeats=repeats, written=True)


def _named(repeats: Sequence[Repeat], memory: Memory) -> Iterator[Repeat]:
    """Repeats with the rows of earlier batches as they are known there."""
    before = memory.found([one.first for one in repeats if one.first < 0])
    for one in repeats:
        if one.first < 0:
            name, row, _ = before[one.first]
            yield replace(one, first=row, of=name)
        else:
            yield one


def _anything(outcome: Outcome) -> bool:
    return bool(outcome.refused or outcome.stop)


def _rows(told: Sequence[Told]) -> int:
    return sum(len(each.rows) + len(each.refused) for each in told)

"""What is to be done, and who does it."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from rasterc.batch.earlier import Earlier
from rasterc.batch.keeping import Folder
from rasterc.batch.kinds import Kind, kind_of
from rasterc.batch.parts import Done, Order, Task, do_part
from rasterc.batch.source import RowSource

PART_ROWS = 1 << 17
PARTS = ".parts"

Progress = Callable[[int], None]
"""Called with the rows that are done since the last time."""


class Runner(Protocol):
    """Does the parts of a job, here or elsewhere; as they come, in any order."""

    def __call__(self, order: Order, tasks: Iterable[Task]) -> Generator[Done, None, None]:
        """The parts, done."""


def in_process(order: Order, tasks: Iterable[Task]) -> Generator[Done, None, None]:
    """The parts done in this process."""
    compiler = order.setup.compiler()
    for task in tasks:
        yield do_part(order, task, compiler)


@dataclass(frozen=True, slots=True)
class Job:
    """What is to be done.

    Attributes:
        order: the message and the kind of output.
        source: its rows.
        out: where they are written: a file, or a folder of parts.
        went_in: the hashes of all that goes in, as plain values.
        part_rows: rows of a part, whole blocks.
        proof: why no code is printed twice; "" when that is not known.
        repeats_allowed: whether codes may be printed twice.
        strict: whether nothing is written when anything is found.
        most_faults: refused rows after which the job is given up.
        runner: who does the parts.
        earlier: batches whose codes may not be printed again.
    """

    order: Order
    source: RowSource
    out: Path
    went_in: Mapping[str, Any]
    part_rows: int = PART_ROWS
    proof: str = ""
    repeats_allowed: bool = False
    strict: bool = False
    most_faults: int = 1000
    runner: Runner = in_process
    earlier: tuple[Earlier, ...] = ()

    @property
    def folder(self) -> Folder:
        """Where parts are kept."""
        path = self.out if self.order.alone else self.out.with_name(self.out.name + PARTS)
        return Folder(path, self.order.suffix)

    @property
    def kind(self) -> Kind:
        """What is written."""
        return kind_of(self.order.suffix)

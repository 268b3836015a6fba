"""A part of a job: so many rows compiled and written, wherever that is done."""

from __future__ import annotations

import pickle
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from hashlib import sha256

import numpy as np
from msgspec import Struct

from rasterc.batch.block import Block, Refused
from rasterc.batch.compiler import Compiler
from rasterc.batch.hashing import hashes_of, packed, sorted_records
from rasterc.batch.kinds import kind_of
from rasterc.batch.repeats import Lines, compared, within
from rasterc.batch.setup import Setup
from rasterc.batch.source import Counted, Told
from rasterc.diagnostics import Diagnostic

BLOCK = 8192
"""Rows compiled at once: more of them fit no cache."""
TOLD = 1000
"""Refused rows and repeats told of each part, at most."""


class Fault(Struct, frozen=True):
    """One thing wrong with a row: plain, so that it can be kept and sent.

    Attributes:
        row: its number, from 1.
        line: of the file it comes from, 0 for none.
        code, message, help: see `rasterc.diagnostics.Diagnostic`.
        place: where in the message, "" for nowhere.
    """

    row: int
    line: int
    code: str
    message: str
    help: str = ""
    place: str = ""


class Written(Struct, frozen=True):
    """A file of a part."""

    bytes: int
    sha256: str


class PartReport(Struct, frozen=True):
    """What came of a part.

    Attributes:
        number: which part, from 0.
        first: its first row, from 0.
        read: rows that it was made from.
        rows: rows that were written.
        files: what was written, by what follows the output's name.
        refused: how many rows were refused.
        faults: why, at most `TOLD` of them.
        one_by_one: rows that columns could not tell.
        repeats: rows of it that print the same as one before, at most `TOLD`: first, again, lines.
    """

    number: int
    first: int
    read: int
    rows: int
    files: dict[str, Written]
    refused: int = 0
    faults: tuple[Fault, ...] = ()
    one_by_one: int = 0
    repeats: tuple[tuple[int, int, Lines], ...] = ()


@dataclass(frozen=True, slots=True)
class Task:
    """A part to be done.

    Attributes:
        number, first: see `PartReport`.
        count: rows of it.
        told: its rows; None when a `Counted` source tells them where the part is done.
    """

    number: int
    first: int
    count: int
    told: tuple[Told, ...] | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """A part that is done: its report, its files by what follows the output's name, and the hashes
    of its codes, when they are wanted."""

    report: PartReport
    files: dict[str, bytes]
    hashes: bytes = b""


@dataclass(frozen=True, slots=True)
class Order:
    """What is the same for all parts of a job.

    Attributes:
        setup: the message.
        suffix: the kind of output.
        alone: whether parts stay what they are.
        hashed: whether codes are to be compared.
        counted: the source of rows, if that tells them anywhere.
    """

    setup: Setup
    suffix: str
    alone: bool
    hashed: bool
    counted: Counted | None = None


def do_part(order: Order, task: Task, compiler: Compiler | None = None) -> Done:
    """Compile and write a part; the same bytes wherever it is done."""
    compiler = compiler or order.setup.compiler()
    blocks = [compiled(compiler, told) for told in _told(order, task)]
    filled = [block for block in blocks if len(block)]
    kind = kind_of(order.suffix)
    files = dict(kind.part(filled, order.alone)) if filled else dict.fromkeys(kind.files, b"")
    hashes, repeats = _hashed(filled) if order.hashed and filled else (b"", ())
    refused = [one for block in blocks for one in block.refused]
    report = PartReport(
        number=task.number,
        first=task.first,
        read=task.count,
        rows=sum(map(len, blocks)),
        files={name: Written(len(data), sha256(data).hexdigest()) for name, data in files.items()},
        refused=len(refused),
        faults=tuple(fault for one in refused[:TOLD] for fault in faults_of(one))[:TOLD],
        one_by_one=sum(block.one_by_one for block in blocks),
        repeats=repeats,
    )
    return Done(report, files, hashes)


def _told(order: Order, task: Task) -> Iterator[Told]:
    if task.told is not None:
        yield from task.told
        return
    assert order.counted is not None
    for first in range(task.first, task.first + task.count, BLOCK):
        count = min(BLOCK, task.first + task.count - first)
        yield Told(order.counted.rows(first, count))


def compiled(compiler: Compiler, told: Told) -> Block:
    """The block of some rows, with those that told nothing that could be printed."""
    block = compiler.block(told.rows)
    if not told.refused:
        return block
    refused = sorted((*block.refused, *told.refused), key=lambda one: one.number)
    return Block(
        block.rows, block.inputs, block.words, block.strokes, tuple(refused), block.one_by_one
    )


def _hashed(blocks: Sequence[Block]) -> tuple[bytes, tuple[tuple[int, int, Lines], ...]]:
    """The sorted hashes of blocks, and what repeats within them."""
    hashes = np.concatenate([hashes_of(block.words, len(block)) for block in blocks])
    numbers = np.concatenate([block.numbers for block in blocks])
    records = sorted_records(hashes, numbers)
    found = compared(within(records), lambda rows: _lines(blocks, rows), TOLD)
    return packed(records), tuple((r.first, r.again, r.lines) for r in found)


def _lines(blocks: Sequence[Block], rows: Sequence[int]) -> dict[int, Lines]:
    found: dict[int, Lines] = {}
    for block in blocks:
        places = np.flatnonzero(np.isin(block.numbers, rows)).tolist()
        texts = [block.texts(line) for line in range(len(block.words))] if places else []
        found |= {int(block.numbers[p]): tuple(text[p] for text in texts) for p in places}
    return found


def faults_of(refused: Refused) -> Iterator[Fault]:
    """What is wrong with a row."""
    for one in refused.diagnostics:
        yield Fault(refused.number, refused.line, one.code, one.message, one.help, _place(one))


def _place(diagnostic: Diagnostic) -> str:
    span = diagnostic.span
    return "" if span is None else f"{span.source.name}:{span.line}:{span.column}"


@lru_cache(maxsize=1)
def _ready(order: bytes) -> tuple[Order, Compiler]:
    whole: Order = pickle.loads(order)
    return whole, whole.setup.compiler()


def do_part_of(order: bytes, task: Task) -> Done:
    """The same in another process, which keeps what it was made ready with for the next part.

    ``order`` is pickled: it is taken from our own processes and from trusted schedulers only.
    """
    ready, compiler = _ready(order)
    return do_part(ready, task, compiler)

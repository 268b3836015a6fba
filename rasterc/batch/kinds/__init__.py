"""What a batch is written as: one module for each suffix.

A kind writes some blocks as one part, and joins parts to the whole file. A part is readable by
itself: the same bytes wherever, and by however many, it is written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from importlib import import_module

from msgspec import Struct

from rasterc.batch.block import Block

Part = Mapping[str, bytes]
"""The files of a part: what follows the output's name, "" for the output itself, and the bytes."""


class Kind(Struct, frozen=True):
    """How blocks are written.

    Attributes:
        suffix: what the output's name ends in.
        files: what follows the output's name in the files that are written, "" first.
        part: blocks as one part; ``alone`` when it will not be joined to others.
        joined: one of ``files`` from that file of all parts, piece by piece; each part is read
            when it is asked for.
    """

    suffix: str
    files: tuple[str, ...]
    part: Callable[[Iterable[Block], bool], Part]
    joined: Callable[[str, Sequence[Callable[[], bytes]]], Iterator[bytes]]


_MODULES = {
    ".parquet": "parquet",
    ".jsonl": "jsonl",
    ".ndjson": "jsonl",
    ".csv": "csv",
    ".npz": "npz",
    ".strokes": "raw",
}
SUFFIXES = tuple(_MODULES)
"""Suffixes that can be written."""


def kind_of(suffix: str) -> Kind:
    """The kind of a suffix that is known."""
    kind: Kind = import_module(f"rasterc.batch.kinds.{_MODULES[suffix]}").KIND
    return kind


def behind(_: str, parts: Sequence[Callable[[], bytes]]) -> Iterator[bytes]:
    """Parts one behind another."""
    return (part() for part in parts)

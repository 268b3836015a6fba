"""JSON lines: an object for each row; strokes in hexadecimal digits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from json import dumps

from rasterc.batch.block import Block, Form, utf8
from rasterc.batch.columns import Kept
from rasterc.batch.kinds import Kind, Part, behind
from rasterc.batch.kinds.cells import Cell, cells_of, hexadecimal, rows_of, texts_of
from rasterc.batch.spread import Ragged


def escaped(text: str) -> bytes:
    """A text as JSON has it, the quotes left out."""
    return dumps(text, ensure_ascii=False)[1:-1].encode()


def part(blocks: Iterable[Block], alone: bool) -> Part:
    """The rows of some blocks."""
    del alone
    kept = Kept()
    return {"": b"".join(_rows(block, list(cells_of(block, kept)), kept) for block in blocks)}


def _rows(block: Block, cells: Sequence[Cell], kept: Kept) -> memoryview:
    pieces: list[Ragged | bytes] = []
    before = "{"
    for cell in cells:
        form: Form = escaped if cell.is_text else utf8
        mark = '"' if cell.is_text else ""
        pieces += [f"{before}{dumps(cell.name)}:{mark}".encode(), texts_of(cell, len(block), form)]
        before = f"{mark},"
    pieces += [f'{before}"strokes":"'.encode(), hexadecimal(block.strokes, kept), b'"}\n']
    return rows_of(pieces, len(block))


KIND = Kind(".jsonl", ("",), part, behind)

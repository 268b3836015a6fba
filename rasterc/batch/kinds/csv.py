"""Comma-separated values as RFC 4180 has them, UTF-8; strokes in hexadecimal digits.

Texts are always quoted, so that no reader takes 000001 for a number, or NA for nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from rasterc.batch.block import Block, Form, utf8
from rasterc.batch.columns import Kept
from rasterc.batch.kinds import Kind, Part
from rasterc.batch.kinds.cells import Cell, cells_of, hexadecimal, rows_of, texts_of
from rasterc.batch.spread import Ragged


def quoted(text: str) -> bytes:
    """A text within quotes, where a quote is written twice; the quotes themselves left out."""
    return text.replace('"', '""').encode()


def part(blocks: Iterable[Block], alone: bool) -> Part:
    """The rows of some blocks below the names of the columns."""
    del alone
    kept, out = Kept(), list[bytes | memoryview]()
    for block in blocks:
        cells = list(cells_of(block, kept))
        if not out:
            names = ",".join(f'"{quoted(cell.name).decode()}"' for cell in cells)
            out.append(f'{names},"strokes"\r\n'.encode())
        out.append(_rows(block, cells, kept))
    return {"": b"".join(out)}


def _rows(block: Block, cells: Sequence[Cell], kept: Kept) -> memoryview:
    pieces: list[Ragged | bytes] = []
    for cell in cells:
        form: Form = quoted if cell.is_text else utf8
        mark = b'"' if cell.is_text else b""
        pieces += [mark, texts_of(cell, len(block), form), mark + b","]
    return rows_of([*pieces, b'"', hexadecimal(block.strokes, kept), b'"\r\n'], len(block))


def joined(_: str, parts: Sequence[Callable[[], bytes]]) -> Iterator[bytes]:
    """All parts below the names of the columns once."""
    named = False
    for read in parts:
        data = read()
        yield data if not named else data[data.find(b"\n") + 1 :]
        named = named or bool(data)


KIND = Kind(".csv", ("",), part, joined)

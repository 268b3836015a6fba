"""Rows of data from files and tables: chunks of columns, and rows that are broken."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any, BinaryIO

import msgspec

from rasterc.batch.block import Refused
from rasterc.diagnostics import Diagnostic, InputError
from rasterc.files import stream_file
from rasterc.sweep.extras import needed

CHUNK = 8192
LONGEST_LINE = 1 << 20
SUFFIXES = (".csv", ".parquet", ".jsonl", ".ndjson")


@dataclass(frozen=True, slots=True)
class Chunk:
    """Some rows of data that follow each other.

    Attributes:
        count: how many.
        columns: their cells by name: text, number, moment, or None where nothing is told.
        lines: on which line of a file each stands, from 1; empty when that is not known.
        broken: rows that cannot be read, by their place in the chunk; their cells are None.
    """

    count: int
    columns: Mapping[str, list[Any]]
    lines: list[int] = field(default_factory=list)
    broken: Mapping[int, Diagnostic] = field(default_factory=dict)


def evenly(chunks: Iterator[Chunk]) -> Iterator[Chunk]:
    """The same rows, `CHUNK` at a time but for the last."""
    rest: Chunk | None = None
    for chunk in chunks:
        whole = chunk if rest is None else _together(rest, chunk)
        begin = 0
        while whole.count - begin >= CHUNK:
            yield _cut(whole, begin, begin + CHUNK)
            begin += CHUNK
        rest = _cut(whole, begin, whole.count)
    if rest is not None and rest.count:
        yield rest


def _cut(chunk: Chunk, begin: int, end: int) -> Chunk:
    if (begin, end) == (0, chunk.count):
        return chunk
    columns = {name: cells[begin:end] for name, cells in chunk.columns.items()}
    broken = {n - begin: why for n, why in chunk.broken.items() if begin <= n < end}
    return Chunk(end - begin, columns, chunk.lines[begin:end], broken)


def _together(one: Chunk, other: Chunk) -> Chunk:
    """Two chunks in one; a column that one of them lacks tells nothing there."""
    names = dict.fromkeys((*one.columns, *other.columns))
    columns = {name: [*_cells(one, name), *_cells(other, name)] for name in names}
    broken = {**one.broken, **{n + one.count: why for n, why in other.broken.items()}}
    return Chunk(one.count + other.count, columns, one.lines + other.lines, broken)


def _cells(chunk: Chunk, name: str) -> list[Any]:
    return chunk.columns.get(name) or [None] * chunk.count


Chunks = Callable[[], Iterator[Chunk]]
"""Gives the rows from the first on, each time it is called."""


def chunks_of(path: Path) -> Chunks:
    """The rows of a file, by its suffix.

    Raises:
        InputError: a suffix that is not known; when read, a file that cannot be.
    """
    readers = dict(zip(SUFFIXES, (_csv, _parquet, _json_lines, _json_lines), strict=True))
    suffix = path.suffix.lower()
    if suffix not in readers:
        said = f"{path} does not end in a suffix of rows that can be read"
        raise InputError.one("unknown-suffix", said, help=f"known: {' '.join(SUFFIXES)}")
    return lambda: _read(path, readers[suffix])


def about(path: Path) -> int:
    """How many rows a file has, by its lines; raises `InputError`."""
    with stream_file(path, "the rows") as file:
        if path.suffix.lower() == ".parquet":
            return _parquet_rows(file, path)
        return sum(piece.count(b"\n") for piece in iter(lambda: file.read(LONGEST_LINE), b""))


def _read(path: Path, reader: Callable[[BinaryIO, Path], Iterator[Chunk]]) -> Iterator[Chunk]:
    with stream_file(path, "the rows") as file:
        yield from reader(file, path)


def _csv(file: BinaryIO, path: Path) -> Iterator[Chunk]:
    with io.TextIOWrapper(file, "utf-8-sig", newline="") as text:
        reader = csv.reader(text, strict=True)
        line = 0
        try:
            head = text.readline(LONGEST_LINE)
            mark = _delimiter(head)
            names = next(csv.reader([head], delimiter=mark, strict=True), [])
            _refuse_doubles(names, path)
            reader = csv.reader(text, delimiter=mark, strict=True)
            rows = ((reader.line_num + 1, row) for row in reader if row)
            while found := list(islice(rows, CHUNK)):
                line = found[-1][0]
                yield _of_cells(names, found)
        except (csv.Error, UnicodeDecodeError) as error:
            after = max(line, reader.line_num + 1)
            raise _unreadable(path, f"{error}, at or after line {after}") from None


def _delimiter(head: str) -> str:
    """A comma; a semicolon or a tab when the first line has no comma."""
    return next((mark for mark in ",;\t" if mark in head), ",")


def _of_cells(names: list[str], rows: list[tuple[int, list[str]]]) -> Chunk:
    width, broken = len(names), dict[int, Diagnostic]()
    cells = []
    for place, (_, row) in enumerate(rows):
        if len(row) != width:
            said = f"it has {len(row)} cells, the first line of the file {width}"
            broken[place] = Diagnostic("broken-row", said, help="quote cells that hold commas")
        cells.append([None] * width if len(row) != width else row)
    columns = dict(zip(names, map(list, zip(*cells, strict=True)), strict=True))
    return Chunk(len(rows), columns, [line for line, _ in rows], broken)


def _refuse_doubles(names: list[str], path: Path) -> None:
    doubles = sorted({name for name in names if names.count(name) > 1})
    if doubles:
        said = f'{path} has several columns called "{doubles[0]}"'
        raise InputError.one("column-twice", said, help="give each column a name of its own")
    if not names:
        raise _unreadable(path, "it is empty")


def _json_lines(file: BinaryIO, path: Path) -> Iterator[Chunk]:
    lines = _numbered(file, path)
    while found := list(islice(lines, CHUNK)):
        rows, broken = list[dict[str, Any]](), dict[int, Diagnostic]()
        for place, (_, line) in enumerate(found):
            row, fault = _object(line)
            rows.append(row)
            if fault is not None:
                broken[place] = fault
        names = dict.fromkeys(name for row in rows for name in row)
        columns = {name: [row.get(name) for row in rows] for name in names}
        yield Chunk(len(rows), columns, [number for number, _ in found], broken)


def _numbered(file: BinaryIO, path: Path) -> Iterator[tuple[int, bytes]]:
    number = 0
    while line := file.readline(LONGEST_LINE):
        number += 1
        if len(line) == LONGEST_LINE:
            raise _unreadable(path, f"line {number} is longer than {LONGEST_LINE >> 20} MiB")
        if line.strip():
            yield number, line


def _object(line: bytes) -> tuple[dict[str, Any], Diagnostic | None]:
    try:
        return msgspec.json.decode(line, type=dict[str, str | int | None]), None
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        help = 'write an object of texts and whole numbers: {"lot": "Q1", "case": 7}'
        return {}, Diagnostic("broken-row", f"it cannot be read: {error}", help=help)


def _parquet_rows(file: BinaryIO, path: Path) -> int:
    pyarrow = needed("pyarrow", "batch", "Parquet")
    parquet = needed("pyarrow.parquet", "batch", "Parquet")
    try:
        return int(parquet.ParquetFile(file).metadata.num_rows)
    except (pyarrow.ArrowException, OSError) as error:
        raise _unreadable(path, str(error)) from None


def _parquet(file: BinaryIO, path: Path) -> Iterator[Chunk]:
    pyarrow = needed("pyarrow", "batch", "Parquet")
    parquet = needed("pyarrow.parquet", "batch", "Parquet")
    try:
        for batch in parquet.ParquetFile(file).iter_batches(CHUNK):
            yield of_batch(batch)
    except (pyarrow.ArrowException, OSError) as error:
        raise _unreadable(path, str(error)) from None


def of_batch(batch: Any) -> Chunk:
    """The rows of an Arrow record batch."""
    columns = zip(batch.schema.names, batch.columns, strict=True)
    return Chunk(batch.num_rows, {name: column.to_pylist() for name, column in columns})


def of_rows(rows: Any) -> Chunks:
    """The rows of a program: mappings by name, or a table that speaks Arrow.

    pandas, polars and pyarrow have such tables. An iterator gives its rows once.
    """
    if hasattr(rows, "__arrow_c_stream__"):
        pyarrow = needed("pyarrow", "batch", "reading tables")
        return lambda: map(of_batch, pyarrow.table(rows).to_batches(CHUNK))
    return lambda: _of_mappings(iter(rows))


def _of_mappings(rows: Iterator[Mapping[str, Any]]) -> Iterator[Chunk]:
    while found := list(islice(rows, CHUNK)):
        names = dict.fromkeys(name for row in found for name in row)
        yield Chunk(len(found), {name: [row.get(name) for row in found] for name in names})


def _unreadable(path: Path, why: str) -> InputError:
    said = f"cannot read the rows of {path}: {why}"
    return InputError.one("cannot-read", said, help="is it the file you mean, and whole?")


def refused_of(chunk: Chunk, first: int, faults: Iterable[tuple[int, Diagnostic]]) -> list[Refused]:
    """Rows of a chunk that are refused, with the line they stand on."""
    found: dict[int, list[Diagnostic]] = {}
    for place, fault in faults:
        found.setdefault(place, []).append(fault)
    line = chunk.lines or [0] * chunk.count
    return [Refused(first + n + 1, tuple(found[n]), line[n]) for n in sorted(found)]

"""Codes of earlier batches, read from what they wrote, so that none of them is printed again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec
import numpy as np

from rasterc.batch.columns import of_texts
from rasterc.batch.data import Chunk, chunks_of
from rasterc.batch.hashing import hashes_of, packed, sorted_records
from rasterc.batch.keeping import Folder
from rasterc.batch.repeats import Lines
from rasterc.diagnostics import InputError
from rasterc.files import entries, read_file

MANIFEST = ".manifest.json"
READABLE = (".csv", ".jsonl", ".ndjson", ".parquet")
_MOST = 1 << 30
_FIRST_FILE = 500_000  # numbers of files of hashes; those of a job's own parts are lower


@dataclass(frozen=True, slots=True)
class Earlier:
    """What an earlier batch wrote.

    Attributes:
        name: of its output.
        files: the output, or its parts.
    """

    name: str
    files: tuple[Path, ...]

    def codes(self) -> Iterator[tuple[list[int], list[Lines]]]:
        """The numbers and the lines of its rows, some at a time; raises `InputError`."""
        for path in self.files:
            for chunk in chunks_of(path)():
                yield [int(row) for row in _column(chunk, "row", path)], _lines(chunk, path)


def _lines(chunk: Chunk, path: Path) -> list[Lines]:
    count = sum(name.startswith("line.") for name in chunk.columns)
    columns = [_column(chunk, f"line.{number + 1}", path) for number in range(count)]
    return list(zip(*columns, strict=True)) if columns else [()] * chunk.count


def _column(chunk: Chunk, name: str, path: Path) -> list[Any]:
    if name in chunk.columns and not chunk.broken and None not in chunk.columns[name]:
        return chunk.columns[name]
    raise InputError.one("cannot-read", f"{path} is not as a batch wrote it", help="is it whole?")


def earlier_of(manifest: Path) -> Earlier:
    """What a batch wrote, by its manifest; raises `InputError`."""
    try:
        told = msgspec.json.decode(read_file(manifest, _MOST, "the manifest"))
        kind, in_parts = (told["went_in"]["asked"][key] for key in ("kind", "parts"))
    except (msgspec.DecodeError, KeyError, TypeError):
        kind, in_parts = "", False
    if not str(manifest).endswith(MANIFEST) or not kind:
        said = f"{manifest} is no manifest of a batch"
        raise InputError.one("cannot-read", said, help=f"name a file that ends in {MANIFEST}")
    out = Path(str(manifest).removesuffix(MANIFEST))
    if kind not in READABLE:
        said = f"the codes of {out} cannot be read back from {kind}"
        raise InputError.one("cannot-read", said, help=f"known: {' '.join(READABLE)}")
    return Earlier(out.name, tuple(entries(out, kind)) if in_parts else (out,))


@dataclass(slots=True)
class Memory:
    """The codes of earlier batches by number: below 0, the first of all has the lowest."""

    batches: Sequence[Earlier]
    total: int = 0

    def keep(self, folder: Folder) -> list[Path]:
        """Files with the hashes of all codes."""
        self.total = sum(len(rows) for one in self.batches for rows, _ in one.codes())
        files = []
        for place, (first, _, _, lines) in enumerate(self._all()):
            words = [(of_texts(column),) for column in zip(*lines, strict=True)]
            numbers = np.arange(first, first + len(lines), dtype=np.int64)
            records = sorted_records(hashes_of(words, len(lines)), numbers)
            files.append(folder.keep_hashes(_FIRST_FILE + place, packed(records)))
        return files

    def _all(self) -> Iterator[tuple[int, str, list[int], list[Lines]]]:
        """The number of the first of some codes, their batch, their rows there, their lines."""
        number = -self.total
        for one in self.batches:
            for rows, lines in one.codes():
                yield number, one.name, rows, lines
                number += len(rows)

    def found(self, numbers: Sequence[int]) -> dict[int, tuple[str, int, Lines]]:
        """Some codes by number: of which batch, which row there, and its lines."""
        wanted = set(numbers)
        found: dict[int, tuple[str, int, Lines]] = {}
        for first, name, rows, lines in self._all() if wanted else ():
            here = wanted & set(range(first, first + len(rows)))
            found |= {n: (name, rows[n - first], lines[n - first]) for n in here}
        return found

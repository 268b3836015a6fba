"""Finding the CSV files of product tables: below the folder of the message and nowhere else."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct, field

from rasterc.diagnostics import Diagnostic, InputError, SourceText
from rasterc.files import read_text, real_path
from rasterc.source.meaning.scope import Problems
from rasterc.source.pieces import Word
from rasterc.source.products.sheet import Sheet

MAX_TABLES = 20
"""CSV files of one message file, with those of the files that it uses."""


class Sheets(Struct):
    """The CSV files of one message file, each read once.

    ``root`` is the folder out of which nothing is read; None for a text that has none.
    """

    root: Path | None = None
    _read: dict[tuple[Path, str], tuple[Sheet | None, list[Diagnostic]]] = field(
        default_factory=dict
    )

    def sheet(
        self, path: Word, delimiter: str, folder: Path | None, problems: Problems
    ) -> Sheet | None:
        """The table at a path from a folder; None, with problems told of, when there is none."""
        with problems.catching():
            sheet, faults = self._sheet(path, delimiter, folder)
            problems.take(faults)
            return sheet
        return None

    def _sheet(
        self, path: Word, delimiter: str, folder: Path | None
    ) -> tuple[Sheet | None, list[Diagnostic]]:
        from rasterc.source.products.reading import MAX_BYTES, read_sheet  # most messages need none

        target = _inside(path, self.root, folder)
        key = target, delimiter
        if key in self._read:
            return self._read[key]
        if len(self._read) >= MAX_TABLES:
            said = f"more than {MAX_TABLES} tables are read"
            raise InputError.one("too-large", said, path.span, "put tables together")
        text = read_text(target, MAX_BYTES, place=path.span, name=path.text)
        self._read[key] = read_sheet(SourceText(path.text, text), delimiter)
        return self._read[key]


def _inside(path: Word, root: Path | None, folder: Path | None) -> Path:
    """The file that is meant, links followed; refused when it is not inside the root."""
    text, place = path.text, path.span
    if root is None or folder is None:
        said = "this text has no folder, so it cannot read tables"
        raise InputError.one("bad-table", said, place, "save it as a file first")
    if Path(text).is_absolute() or "\\" in text or ":" in text or "\0" in text:
        help = 'write it from the folder of this file, with /: from "tables/products.csv"'
        raise InputError.one("bad-table", "the path is not relative", place, help)
    target = real_path(folder / text)
    if not target.is_relative_to(real_path(root)):
        said = f"{text} lies outside the folder of the message"
        help = "move it into that folder, or name a folder that holds both as the root"
        raise InputError.one("outside-root", said, place, help)
    return target

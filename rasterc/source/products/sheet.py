"""A CSV file as it was read: its columns, and the places of its cells."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct, field

from rasterc.diagnostics import SourceText, Span
from rasterc.source.products.places import spans_of
from rasterc.source.quoting import composed


class Sheet(Struct, frozen=True, eq=False):
    """The records of a CSV file that have a cell for every column.

    Attributes:
        source: the file's text.
        delimiter: one character.
        header: names of the columns.
        cells: by column, the texts of all records, as written but for their quotes.
        numbers: of each record, which one of the file it is; the header is 0.
    """

    source: SourceText
    delimiter: str
    header: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    numbers: Sequence[int]
    _columns: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def __repr__(self) -> str:
        """Its file and size."""
        return f"<Sheet {self.source.name}: {len(self.numbers)} row(s)>"

    def column(self, name: str) -> tuple[str, ...]:
        """The texts of a column, by row, in Unicode normal form C."""
        if name not in self._columns:
            self._columns[name] = tuple(map(composed, self.cells[self.header.index(name)]))
        return self._columns[name]

    def places(self, name: str, rows: Iterable[int]) -> Mapping[int, Span]:
        """Where the cells of a column stand, by row from 0."""
        column, wanted = self.header.index(name), {self.numbers[row]: row for row in rows}
        found = spans_of(self.source, self.delimiter, [(number, column) for number in wanted])
        return {wanted[number]: span for (number, _), span in found.items()}

    def row(self, index: int) -> Mapping[str, str]:
        """The cells of a row, by column."""
        return {name: self.column(name)[index] for name in self.header}

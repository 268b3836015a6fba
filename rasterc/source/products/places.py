"""Where the cells of a CSV file stand in its text.

`csv` reads files quickly and tells no places. They are looked up here, in a second reading, when
something is to be said of a cell. Both read by RFC 4180: cells between double quotes may hold
delimiters and line ends, and a double quote written twice.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from functools import cache

from rasterc.diagnostics import SourceText, Span

Cell = tuple[int, int]
"""The number of a record, the header's being 0, and of a column."""


def spans_of(source: SourceText, delimiter: str, cells: Collection[Cell]) -> Mapping[Cell, Span]:
    """The places of some cells; of those that a record lacks, the end of the record."""
    wanted: dict[int, list[int]] = {}
    for record, column in cells:
        wanted.setdefault(record, []).append(column)
    last = max(wanted, default=-1)
    found: dict[Cell, Span] = {}
    for number, places in enumerate(records(source.text, delimiter)):
        if number > last:
            break
        for column in wanted.get(number, ()):
            end = places[-1][1]
            start, end = places[column] if column < len(places) else (end, end)
            found[number, column] = Span(source, start, end)
    return found


def records(text: str, delimiter: str) -> Iterator[list[tuple[int, int]]]:
    """Where the cells of each record begin and end, quotes included; blank lines are none."""
    cells: list[tuple[int, int]] = []
    for match in _pattern(delimiter).finditer(text):
        cells.append(match.span("cell"))
        if match["after"] != delimiter:
            if len(cells) > 1 or match["cell"]:
                yield cells
            cells = []


def open_quote(source: SourceText, delimiter: str, record: int) -> Span:
    """The first cell of a record whose quotes are not closed, or the record's first cell."""
    places = next((p for n, p in enumerate(records(source.text, delimiter)) if n == record), [])
    for start, end in places:
        if source.text.startswith('"', start) and not _CLOSED.fullmatch(source.text, start, end):
            return Span(source, start, end)
    start, end = places[0] if places else (len(source.text),) * 2
    return Span(source, start, end)


_QUOTED = '"(?:[^"]|"")*"'
_CLOSED = re.compile(_QUOTED)


@cache
def _pattern(delimiter: str) -> re.Pattern[str]:
    stop = re.escape(delimiter)
    after = rf"(?P<after>{stop}|\r\n|[\r\n]|\Z)"
    return re.compile(rf"(?P<cell>{_QUOTED}(?=[{stop}\r\n]|\Z)|[^{stop}\r\n]*){after}")

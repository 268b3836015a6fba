"""Reading the text of a CSV file, with everything that is wrong with its form."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import chain, islice

from rasterc.diagnostics import Diagnostic, SourceText, Span
from rasterc.source.products.places import Cell, open_quote, spans_of
from rasterc.source.products.sheet import Sheet

MAX_BYTES = 64 << 20
MAX_ROWS = 250_000
MAX_COLUMNS = 200
MAX_TOLD = 10
"""Faults of one kind that are told of; of the others, how many there are."""

_CODE = "bad-table"
_BYTE_ORDER_MARK = "\ufeff"
_NO_TEXT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f]")


def read_sheet(source: SourceText, delimiter: str) -> tuple[Sheet | None, list[Diagnostic]]:
    """The rows of a CSV file, and what is wrong with it; None when it has no columns to use.

    A row with too few or too many cells is left out and told of.
    """
    text = _with_line_feeds(source.text.removeprefix(_BYTE_ORDER_MARK))
    source = SourceText(source.name, text)
    if bad := _NO_TEXT.search(text):
        said = f"this is not text: it holds the character U+{ord(bad[0]):04X}"
        place = Span(source, *bad.span())
        return None, [Diagnostic("not-text", said, place, "save the table as CSV, in UTF-8")]
    records, faults = _records(source, delimiter)
    if not records:
        help = "its first line names the columns: sku,name,life"
        none = Diagnostic(_CODE, "the table has no header", Span(source, 0, 0), help)
        return None, faults or [none]
    header = tuple(name.strip() for name in records[0])
    found = list(_header_faults(header, source, delimiter))
    if found:
        return None, [*found, *faults]
    if len(records) == 1 and not faults:
        said = "the table has a header and no rows"
        return None, [Diagnostic(_CODE, said, Span(source, 0, 0), "add a row for each product")]
    whole, found = _whole(records, source, delimiter)
    if not len(whole):
        return None, [*found, *faults]
    cells = tuple(zip(*(records[number] for number in whole), strict=True))
    columns = cells or ((),) * len(header)
    return Sheet(source, delimiter, header, columns, whole), [*found, *faults]


def _with_line_feeds(text: str) -> str:
    """Line ends of old systems, a carriage return alone, as those that lines are counted by."""
    return re.sub(r"\r(?!\n)", "\n", text) if "\r" in text else text


def _records(source: SourceText, delimiter: str) -> tuple[list[list[str]], list[Diagnostic]]:
    """All records as far as they can be read, the header first, and why no further."""
    lines = io.StringIO(source.text, newline="")
    rows = filter(None, csv.reader(lines, delimiter=delimiter, strict=True))
    records: list[list[str]] = []
    try:
        records += islice(rows, 1)
        if records and len(records[0]) > MAX_COLUMNS:
            return [], [_too_many(source, f"columns, more than {MAX_COLUMNS}", len(records[0]))]
        for row in islice(rows, MAX_ROWS):
            records.append(row)  # not +=, which would keep none of them when one is broken
        if next(rows, None) is not None:
            return [], [_too_many(source, f"rows, more than {MAX_ROWS:,}")]
    except csv.Error:
        place = open_quote(source, delimiter, len(records))
        said = "this cell is not written as CSV: its quotes do not close it, or it is too long"
        help = 'write a quote within quotes twice: "5"" rim"'
        return records, [Diagnostic(_CODE, said, place.part(0, min(40, len(place.text))), help)]
    return records, []


def _too_many(source: SourceText, what: str, number: int | None = None) -> Diagnostic:
    said = f"the table has {f'{number:,}' if number else 'too many'} {what}"
    return Diagnostic("too-large", said, Span(source, 0, 0), "keep what the message needs")


def _header_faults(
    header: Sequence[str], source: SourceText, delimiter: str
) -> Iterator[Diagnostic]:
    places = spans_of(source, delimiter, [(0, column) for column in range(len(header))])
    for column, name in enumerate(header):
        place = places[0, column]
        if not name:
            said, help = f"column {column + 1} has no name", "name it in the first line"
            yield Diagnostic(_CODE, said, place, help)
        elif name in header[:column]:
            said = f'there are two columns "{name}"'
            yield Diagnostic(_CODE, said, place, "give each a name of its own")


def _whole(
    records: Sequence[Sequence[str]], source: SourceText, delimiter: str
) -> tuple[Sequence[int], list[Diagnostic]]:
    """The numbers of the records that can be used, and what is wrong with the others."""
    width, header = len(records[0]), records[0]
    odd = [n for n, row in enumerate(records) if len(row) != width]
    again = [n for n, row in enumerate(records) if n and row == header]
    if not odd and not again:
        return range(1, len(records)), []
    cells = [*((n, width) for n in odd[:MAX_TOLD]), *((n, 0) for n in again[:MAX_TOLD])]
    places = spans_of(source, delimiter, cells)
    faults = chain(
        _odd(odd, records, places),
        _again(again, places),
    )
    bad = {*odd, *again}
    return [n for n in range(1, len(records)) if n not in bad], list(faults)


def _odd(
    odd: Sequence[int], records: Sequence[Sequence[str]], places: Mapping[Cell, Span]
) -> Iterator[Diagnostic]:
    width = len(records[0])
    for number in odd[:MAX_TOLD]:
        has = len(records[number])
        said = f"this row has {counted(has, 'cell')}, and the header {width}"
        yield Diagnostic(_CODE, said, places[number, width], _odd_help(has, width))
    if len(odd) > MAX_TOLD:
        yield more(odd, "rows have too few or too many cells", places[odd[MAX_TOLD - 1], width])


def _odd_help(has: int, width: int) -> str:
    if has == 1:
        return 'is the delimiter right? name it: separated by ";"'
    return "fill it up" if has < width else "put a cell that holds the delimiter between quotes"


def _again(again: Sequence[int], places: Mapping[Cell, Span]) -> Iterator[Diagnostic]:
    for number in again[:MAX_TOLD]:
        said, help = "the header stands here again", "remove this line"
        yield Diagnostic(_CODE, said, places[number, 0], help)
    if len(again) > MAX_TOLD:
        yield more(again, "lines are the header again", places[again[MAX_TOLD - 1], 0])


def more(found: Sequence[int], what: str, place: Span) -> Diagnostic:
    """The report that there are more faults of one kind than were told of."""
    said = f"{len(found) - MAX_TOLD:,} more {what}, {len(found):,} in all"
    return Diagnostic(_CODE, said, place, "mend those that are shown, and look again")


def counted(number: int, what: str) -> str:
    """``1 cell``, ``3 cells``."""
    return f"{number} {what}{'' if number == 1 else 's'}"

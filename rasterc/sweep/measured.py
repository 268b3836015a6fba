"""What a bench has measured: from a CSV file, or from a profile's own table."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path

import msgspec

from rasterc.diagnostics import Diagnostic, InputError, SourceText, Span, did_you_mean
from rasterc.files import read_text
from rasterc.profile.flight import Measurement, Reading
from rasterc.profile.load import load_profile
from rasterc.toml.typed import in_words

MAX_BYTES = 1 << 20
MAX_ROWS = 1000
MAX_FAULTS = 20
COLUMNS = Measurement.__struct_fields__
NEEDED = ("what", "value", "sigma")
PAIR = (Reading.PAIR_FIRST, Reading.PAIR_SECOND)


def load_measured(path: Path) -> list[Measurement]:
    """Measurements of a .csv file, or of [[flight.measured]] of a .toml profile.

    A CSV file has a row of column names (`COLUMNS`, in any order), then a row for each reading;
    nothing in a cell where it does not apply.

    Raises:
        InputError: a file that cannot be read, is neither, or holds faults; each with its line.
    """
    suffix = path.suffix.lower()
    if suffix == ".toml":
        flight = load_profile(path).flight
        found = list(flight.measured) if flight else []
    elif suffix == ".csv":
        found = parse_measured(read_text(path, MAX_BYTES, "the measurements"), str(path))
    else:
        said = f"{path} is neither a table nor a profile"
        raise InputError.one("unknown-suffix", said, help="give a .csv, or a .toml profile")
    if not found:
        raise InputError.one(
            "nothing-measured",
            f"{path} holds no measurement",
            help="add [[flight.measured]] tables, or give a .csv file of readings",
        )
    faults = [fault for one in found for fault in _missing(one)]
    if faults:
        raise InputError(faults[:MAX_FAULTS])
    return found


def parse_measured(text: str, name: str = "measured.csv") -> list[Measurement]:
    """Measurements of CSV text; raises `InputError` with every fault and its line."""
    source = SourceText(name, text)
    rows = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    found: list[Measurement] = []
    faults: list[Diagnostic] = []
    try:
        header = [cell.strip() for cell in next(rows, [])]
        faults += islice(_header_faults(source, header), MAX_FAULTS)
        for cells in rows if not faults else ():
            if any(cell.strip() for cell in cells):
                row = dict(zip(header, cells, strict=False))
                _one(source, rows.line_num, row, len(cells) - len(header), found, faults)
            if len(found) > MAX_ROWS or len(faults) >= MAX_FAULTS:
                break
    except csv.Error as error:
        faults.append(_fault(source, rows.line_num, "not-csv", f"not CSV: {error}"))
    if len(found) > MAX_ROWS:
        faults.append(
            Diagnostic("too-many", f"more than {MAX_ROWS} measurements", help="give fewer")
        )
    if faults:
        raise InputError(faults)
    return found


def _header_faults(source: SourceText, header: Sequence[str]) -> Iterator[Diagnostic]:
    for name in header:
        if name not in COLUMNS:
            help = did_you_mean(name, COLUMNS) or f"columns: {', '.join(COLUMNS)}"
            yield _fault(source, 1, "unknown-column", f'unknown column "{name}"', help)
    for name in NEEDED:
        if name not in header:
            help = f"the first row names the columns: {', '.join(COLUMNS)}"
            yield _fault(source, 1, "missing-column", f'there is no column "{name}"', help)
    if len(set(header)) < len(header):
        yield _fault(source, 1, "twice", "a column is named twice", "keep one of them")


def _one(
    source: SourceText,
    line: int,
    row: dict[str, str],
    more: int,
    found: list[Measurement],
    faults: list[Diagnostic],
) -> None:
    if more > 0:
        said = f"{more} more cells than columns"
        faults.append(_fault(source, line, "too-many-cells", said, "quote cells with commas"))
        return
    given = {name: cell.strip() for name, cell in row.items() if cell.strip()}
    try:
        one = msgspec.convert(given, Measurement, strict=False)
    except msgspec.ValidationError as error:
        known = ", ".join(str(kind) for kind in Reading)
        help = f"what is one of: {known}; the other cells are numbers"
        faults.append(_fault(source, line, "wrong-value", in_words(str(error)), help))
        return
    if missing := list(_missing(one)):
        faults += [_fault(source, line, m.code, m.message, m.help) for m in missing]
    else:
        found.append(one)


def _missing(one: Measurement) -> Iterator[Diagnostic]:
    """What a reading needs and has not, or has and does not need."""
    wanted = {
        "volts": one.what in (Reading.SINGLE, *PAIR),
        "second_volts": one.what in PAIR,
        "slots": one.what in PAIR,
    }
    for name, needed in wanted.items():
        given = getattr(one, name) is not None
        if needed and not given:
            said, help = f'a reading "{one.what}" needs {name}', "add it"
            yield Diagnostic("missing-value", said, help=help)
        elif given and not needed:
            said = f'a reading "{one.what}" has no {name}'
            yield Diagnostic("unused-value", said, help="leave it out")


def _fault(source: SourceText, line: int, code: str, message: str, help: str = "") -> Diagnostic:
    lines = source.text.splitlines(keepends=True)
    start = sum(map(len, lines[: line - 1]))
    length = len(lines[line - 1].rstrip()) if 0 < line <= len(lines) else 0
    return Diagnostic(code, message, Span(source, start, start + length), help)

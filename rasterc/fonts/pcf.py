"""Reading PCF, the Portable Compiled Format of X window fonts.

The format has no standard; this follows the description that FreeType and the X font library agree
on. All numbers are checked before they are used: a damaged file is reported, never half read.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError, Severity
from rasterc.fonts.bdf import unknown_charset
from rasterc.fonts.bitmap import (
    MAX_SIDE,
    Bitmap,
    FontFile,
    FontHeader,
    Room,
    assemble,
    columns_of_rows,
)
from rasterc.fonts.charset import CharOf, char_of_charset

_MAGIC = b"\x01fcp"
_PROPERTIES, _ACCELERATORS, _METRICS, _BITMAPS = 1, 2, 4, 8
_ENCODINGS, _BDF_ACCELERATORS = 32, 256
_COMPRESSED_METRICS = 0x100
_NO_GLYPH = 0xFFFF
_REVERSED_BITS = bytes(int(f"{byte:08b}"[::-1], 2) for byte in range(256))


class _Metrics(Struct, frozen=True):
    """Of one glyph: columns from the origin, rows from the baseline."""

    left: int
    right: int
    advance: int
    ascent: int
    descent: int


class _Table(Struct):
    """A table of the file, read from front to back."""

    data: bytes
    format: int
    at: int = 4  # each table repeats its format word

    @property
    def order(self) -> str:
        return ">" if self.format & 4 else "<"

    def take(self, fields: str) -> tuple[int, ...]:
        """The next numbers, in the `struct` letters of ``fields``."""
        layout = struct.Struct(self.order + fields)
        values: tuple[int, ...] = layout.unpack_from(self.data, self.at)
        self.at += layout.size
        return values

    def many(self, count: int, letter: str) -> tuple[int, ...]:
        """The next ``count`` numbers; a count the table cannot hold is an error."""
        if not 0 <= count <= len(self.data):
            raise struct.error("count out of range")
        return self.take(f"{count}{letter}")


def parse_pcf(data: bytes, name: str, origin: str, charset: str | None = None) -> FontFile:
    """The font in the bytes of a PCF file (not compressed).

    Args:
        data: the file.
        name: how the font is called.
        origin: the file's name as the user knows it.
        charset: character set of the codes, against what the file says.

    Raises:
        InputError: it is no PCF file, is damaged, or its character set cannot be read.
    """
    if data[:4] != _MAGIC:
        raise InputError.one("not-pcf", f"{origin} is not a PCF font")
    try:
        tables = _tables(data)
        char_of, notes = _char_of(_properties(tables), origin, charset)
        header = _header(tables, name, origin)
        bitmaps = list(_bitmaps(tables, char_of, Room(origin)))
    except (struct.error, KeyError, IndexError):
        raise InputError.one(
            "damaged-font", f"{origin} is damaged or cut short", help="fetch or convert it again"
        ) from None
    read = assemble(header, bitmaps)
    return FontFile(read.font, (*notes, *read.notes))


def _tables(data: bytes) -> dict[int, _Table]:
    """The file's tables by type."""
    (count,) = struct.unpack_from("<i", data, 4)
    tables = {}
    for index in range(min(count, 64)):
        kind, form, size, offset = struct.unpack_from("<4I", data, 8 + 16 * index)
        # The last table's size is often given too large; reading past the end is caught later.
        tables[kind] = _Table(data[offset : offset + size], form)
    return tables


def _properties(tables: dict[int, _Table]) -> dict[str, str]:
    """The properties that are texts."""
    table = tables[_PROPERTIES]
    (count,) = table.take("i")
    if not 0 <= count <= len(table.data):
        raise struct.error("count out of range")
    entries = [table.take("ibi") for _ in range(count)]
    table.at += -count % 4  # entries are of nine bytes; the list is padded to whole words
    (size,) = table.take("i")
    texts = table.data[table.at : table.at + size]

    def text(offset: int) -> str:
        end = texts.index(b"\0", offset) if 0 <= offset < len(texts) else 0
        return texts[offset:end].decode("latin-1")

    try:
        return {text(key): text(value) for key, is_text, value in entries if is_text}
    except ValueError:
        raise struct.error("text without end") from None


def _char_of(
    properties: dict[str, str], origin: str, charset: str | None
) -> tuple[CharOf, list[Diagnostic]]:
    """What codes stand for, and a note when the file does not say."""
    registry, encoding = (properties.get(f"CHARSET_{key}", "") for key in ("REGISTRY", "ENCODING"))
    notes = []
    name = charset or f"{registry}-{encoding}"
    if name == "-":
        message = f"{origin} names no character set; its codes are read as Unicode"
        notes.append(Diagnostic("no-charset", message, severity=Severity.NOTE))
        name = "unicode"
    char_of = char_of_charset(name)
    if char_of is None:
        raise InputError.one("unknown-charset", *unknown_charset(name))
    return char_of, notes


def _header(tables: dict[int, _Table], name: str, origin: str) -> FontHeader:
    table = tables.get(_BDF_ACCELERATORS) or tables[_ACCELERATORS]
    table.at += 8  # flags
    ascent, descent = table.take("ii")
    if max(abs(ascent), abs(descent)) > MAX_SIDE:
        raise struct.error("height out of range")
    return FontHeader(name, ascent, descent, None, origin)


def _metrics(table: _Table) -> list[_Metrics]:
    if table.format & _COMPRESSED_METRICS:
        (count,) = table.take("H")
        numbers = tuple(value - 0x80 for value in table.many(count * 5, "B"))
        step = 5
    else:
        (count,) = table.take("i")
        numbers = table.many(count * 6, "h")
        step = 6  # the sixth is a free attribute
    return [_Metrics(*numbers[i : i + 5]) for i in range(0, len(numbers), step)]


def _codes(table: _Table) -> Iterator[tuple[int, int]]:
    """Each code that has a glyph, and the glyph's index."""
    low_first, low_last, high_first, high_last, _default = table.take("5h")
    width, height = low_last - low_first + 1, high_last - high_first + 1
    if not (0 < width <= 256 and 0 < height <= 256):
        raise struct.error("codes out of range")
    for at, glyph in enumerate(table.many(width * height, "H")):
        if glyph != _NO_GLYPH:
            high, low = divmod(at, width)
            yield (high_first + high) << 8 | low_first + low, glyph


def _bitmaps(tables: dict[int, _Table], char_of: CharOf, room: Room) -> Iterator[Bitmap]:
    metrics = _metrics(tables[_METRICS])
    table = tables[_BITMAPS]
    (count,) = table.take("i")
    offsets = table.many(count, "i")
    sizes = table.take("4i")
    pad = table.format & 3
    start = table.at
    drawings = _in_reading_order(table.data[start : start + sizes[pad]], table.format)
    for code, index in _codes(tables[_ENCODINGS]):
        char = char_of(code)
        if char is not None:
            # many codes may share one drawing, so the file's size says nothing of theirs
            width, height = _size(metrics[index])
            room.take(width, height, metrics[index].advance)
            yield _bitmap(char, metrics[index], drawings, offsets[index], 1 << pad)


def _size(metrics: _Metrics) -> tuple[int, int]:
    return metrics.right - metrics.left, metrics.ascent + metrics.descent


def _bitmap(char: str, metrics: _Metrics, drawings: bytes, offset: int, pad: int) -> Bitmap:
    width, height = _size(metrics)
    if not (0 <= width <= MAX_SIDE and 0 <= height <= MAX_SIDE):
        raise struct.error("glyph out of range")
    if max(abs(metrics.left), abs(metrics.advance), abs(metrics.descent)) > MAX_SIDE:
        raise struct.error("glyph out of range")
    stride = -(-width // (8 * pad)) * pad
    data = drawings[offset : offset + stride * height]
    if offset < 0 or len(data) != stride * height:
        raise struct.error("bitmap out of table")
    columns = columns_of_rows(data, width, height)
    return Bitmap(char, columns, metrics.left, -metrics.descent, metrics.advance)


def _in_reading_order(data: bytes, form: int) -> bytes:
    """The drawings with the leftmost dot in the highest bit of the first byte."""
    bytes_high_first, bits_high_first = bool(form & 4), bool(form & 8)
    unit = 1 << (form >> 4 & 3)
    if bytes_high_first != bits_high_first and unit > 1:
        data = b"".join(data[i : i + unit][::-1] for i in range(0, len(data), unit))
    return data if bits_high_first else data.translate(_REVERSED_BITS)

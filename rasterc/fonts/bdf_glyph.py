"""The numbers and rows of one glyph of a BDF file."""

from __future__ import annotations

import re

_HEX_DIGITS = re.compile(r"[0-9A-Fa-f]+")


class GlyphError(Exception):
    """What is wrong with one glyph; ``line`` counts from its STARTCHAR line."""

    def __init__(self, line: int, message: str) -> None:
        self.line, self.message = line, message


def integers(
    values: dict[str, tuple[int, str]], key: str, least: int, most: int | None = None
) -> list[int]:
    """The whole numbers after a key of a glyph."""
    if key not in values:
        raise GlyphError(0, f"no {key} line")
    number, value = values[key]
    words = value.split()
    try:
        found = [int(word) for word in words]
    except ValueError:
        raise GlyphError(number, f"{key} takes whole numbers") from None
    if not least <= len(found) <= (most or least):
        raise GlyphError(number, f"{key} takes {most or least} numbers, not {len(found)}")
    return found


def bitmap_bytes(lines: list[str], first: int, width: int, height: int) -> bytes:
    """The bitmap's rows, each padded on the right to the same number of whole bytes."""
    rows = lines[first : first + height]
    digits = (width + 7) // 8 * 2
    if len(rows) != height or set(map(len, rows)) != {digits}:
        rows = [_padded_row(lines, first + i, width, height, digits, i) for i in range(height)]
    try:
        return bytes.fromhex("".join(rows))
    except ValueError:
        bad = next(i for i, row in enumerate(rows) if not _HEX_DIGITS.fullmatch(row))
        raise GlyphError(first + bad, "a bitmap row is written in hexadecimal digits") from None


def _padded_row(
    lines: list[str], number: int, width: int, height: int, digits: int, index: int
) -> str:
    """A row that is shorter or longer than it need be, brought to length."""
    row = lines[number].strip() if number < len(lines) else ""
    if not row or row.startswith("ENDCHAR"):
        raise GlyphError(min(number, len(lines) - 1), f"BBX says {height} rows, there are {index}")
    if len(row) * 4 < width:
        raise GlyphError(number, f"a row of {width} columns needs {digits} digits")
    return row[:digits].ljust(digits, "0")

"""Glyph art: dot fonts as plain text that can be drawn in any editor.

::

    # a comment
    font upright-7
    ascent 7
    descent 0
    spacing 1
    glyph U+0031 anything after the code point is a remark
    .#.
    ##.
    ...

The four keys stand before the first glyph, in any order. Each glyph has ascent + descent rows of
equal length, at least one column, ``#`` where a drop is printed and ``.`` where none is. A line
that starts with ``#`` and a blank is a comment; so is a lone ``#`` before the first glyph.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from msgspec import Struct, field

from rasterc.diagnostics import Diagnostic, InputError, SourceText, Span, did_you_mean
from rasterc.fonts.bitmap import MAX_SIDE
from rasterc.fonts.faults import MAX_REPORTED, raise_faults
from rasterc.fonts.model import Font, Glyph

_KEYS = ("font", "ascent", "descent", "spacing")
_CODE = re.compile(r"U\+([0-9A-Fa-f]{4,6})$")


class _Row(Struct, frozen=True):
    """A line of the file."""

    text: str
    span: Span


class _Reader(Struct):
    """The state of one reading."""

    source: SourceText
    keys: dict[str, _Row] = field(default_factory=dict)
    glyphs: dict[str, tuple[_Row, list[_Row]]] = field(default_factory=dict)
    faults: list[Diagnostic] = field(default_factory=list)

    def fault(self, code: str, message: str, span: Span | None, help: str = "") -> None:
        self.faults.append(Diagnostic(code, message, span, help))


def parse_art(source: SourceText) -> Font:
    """The font a glyph-art text draws.

    Raises:
        InputError: with every fault of the text, each at its line.
    """
    reader = _Reader(source)
    _read_lines(reader)
    name = _name(reader)
    ascent, descent, spacing = (_number(reader, key) for key in _KEYS[1:])
    if not reader.glyphs:
        reader.fault("empty-font", f"{source.name} holds no glyph", None, "add glyph U+... lines")
    # With a fault in the keys the height is not known, and every glyph would be blamed for it.
    height = 0 if reader.faults else ascent + descent
    if not height and not reader.faults:
        reader.fault("bad-number", "the font has no rows", reader.keys["ascent"].span)
    glyphs = {char: _glyph(reader, char, height) for char in reader.glyphs}
    raise_faults(reader.faults)
    return Font(name, ascent, descent, spacing, glyphs, source.name)


def format_art(font: Font) -> str:
    """The font as glyph art, glyphs in code point order.

    Raises:
        InputError: a glyph has no columns; glyph art cannot draw it.
    """
    empty = [char for char, glyph in font.glyphs.items() if not glyph.columns]
    if empty:
        raise InputError.one(
            "glyph-without-columns",
            "glyph art cannot hold glyphs without strokes: "
            + ", ".join(f"U+{ord(c):04X}" for c in empty),
            help="export to .bdf instead",
        )
    out = [f"font {font.name}", f"ascent {font.ascent}", f"descent {font.descent}"]
    out += [f"spacing {font.spacing}"]
    for char in sorted(font.glyphs):
        name = unicodedata.name(char, "")
        out += ["", f"glyph U+{ord(char):04X} {name}".rstrip()]
        out += glyph_rows(font.glyphs[char], font.height)
    return "\n".join(out) + "\n"


def glyph_rows(glyph: Glyph, height: int, on: str = "#", off: str = ".") -> list[str]:
    """The rows of a glyph as text, top first.

    >>> glyph_rows(Glyph("^", (1, 2, 1)), 2)
    ['.#.', '#.#']
    """
    return [
        "".join(on if column >> row & 1 else off for column in glyph.columns)
        for row in range(height - 1, -1, -1)
    ]


def _lines(source: SourceText) -> Iterator[_Row]:
    start = 0
    for line in source.text.split("\n"):
        text = line.rstrip()
        yield _Row(text, Span(source, start, start + len(text)))
        start += len(line) + 1


def _read_lines(reader: _Reader) -> None:
    """Sort the lines into keys and glyphs."""
    rows: list[_Row] | None = None
    for line in _lines(reader.source):
        if len(reader.faults) > MAX_REPORTED:
            return
        word, _, rest = line.text.partition(" ")
        if word == "glyph":
            rows = _start_glyph(reader, line, rest)
        elif not line.text or (word == "#" and (rows is None or " " in line.text)):
            continue
        elif rows is not None:
            rows.append(line)
        elif word not in _KEYS:
            help = did_you_mean(word, (*_KEYS, "glyph"))
            reader.fault("unknown-key", f'"{word}" is not a key of glyph art', line.span, help)
        elif word in reader.keys:
            reader.fault("duplicate-key", f'"{word}" is given twice', line.span)
        else:
            reader.keys[word] = _Row(rest.strip(), line.span)


def _start_glyph(reader: _Reader, line: _Row, rest: str) -> list[_Row]:
    """A new glyph's list of rows."""
    rows: list[_Row] = []
    code = (rest.split() or [""])[0]
    match = _CODE.match(code)
    number = int(match[1], 16) if match else -1
    if not 0 <= number <= 0x10FFFF:
        message = f'"{code}" is not a code point' if code else "a glyph needs its code point"
        reader.fault("bad-code-point", message, line.span, 'write it like "glyph U+0041"')
        return rows
    char = chr(number)
    if unicodedata.category(char) in ("Cc", "Cs"):
        reader.fault("bad-code-point", f"{code} is a control code, not a character", line.span)
    elif char in reader.glyphs:
        before = reader.glyphs[char][0].span.line
        reader.fault("duplicate-glyph", f"{code} was drawn on line {before} already", line.span)
    else:
        reader.glyphs[char] = (line, rows)
    return rows


def _name(reader: _Reader) -> str:
    if "font" not in reader.keys:
        reader.fault("missing-key", 'no "font" before the first glyph', None, 'add "font NAME"')
        return ""
    row = reader.keys["font"]
    if not row.text or " " in row.text:
        reader.fault("bad-font-name", "a font's name is one word", row.span)
    return row.text


def _number(reader: _Reader, key: str) -> int:
    """A key's number; 0, and a fault, when there is none."""
    if key not in reader.keys:
        reader.fault("missing-key", f'no "{key}" before the first glyph', None, f'add "{key} N"')
        return 0
    row = reader.keys[key]
    if not re.fullmatch("[0-9]{1,5}", row.text) or int(row.text) > MAX_SIDE:
        message = f"{key} must be a whole number from 0 to {MAX_SIDE}"
        reader.fault("bad-number", message, row.span)
        return 0
    return int(row.text)


def _glyph(reader: _Reader, char: str, height: int) -> Glyph:
    """The glyph drawn by its rows; faults are noted. ``height`` is 0 when it is not known."""
    head, rows = reader.glyphs[char]
    label = f"U+{ord(char):04X}"
    width = len(rows[0].text) if rows else 0
    for row in rows:
        _check_row(reader, label, row, width)
    if len(rows) != height:
        if height:
            message = f"{label} has {len(rows)} rows; ascent + descent is {height}"
            reader.fault("bad-row-count", message, head.span)
        return Glyph(char, ())
    by_column = zip(*(row.text for row in reversed(rows)), strict=False)
    return Glyph(char, tuple(_column(marks) for marks in by_column))


def _check_row(reader: _Reader, label: str, row: _Row, width: int) -> None:
    wrong = sorted(set(row.text) - {"#", "."})
    if wrong:
        message = f"{label}: a row is drawn with # and . only, not {wrong[0]!r}"
        reader.fault("bad-row", message, row.span)
    if len(row.text) > MAX_SIDE:
        reader.fault("bad-row", f"{label}: a row has at most {MAX_SIDE} columns", row.span)
    elif len(row.text) != width:
        message = f"{label}: this row has {len(row.text)} columns, the first has {width}"
        reader.fault("uneven-rows", message, row.span)


def _column(marks: tuple[str, ...]) -> int:
    return sum(1 << row for row, mark in enumerate(marks) if mark == "#")

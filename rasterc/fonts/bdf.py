"""Reading BDF, the Glyph Bitmap Distribution Format, version 2.1 (Adobe technical note 5005).

Written for files of other makers too: comments anywhere, properties in any order, codes in any
single-byte character set, glyphs of any size and offset. What a file leaves open is settled in
`rasterc.fonts.bitmap`; what is wrong in it is reported at its line.

A full-size font is read at each start of a program, so glyphs are cut out by slices and each line
is looked at once.
"""

from __future__ import annotations

import re
from itertools import pairwise

from msgspec import Struct, field

from rasterc.diagnostics import Diagnostic, Severity, SourceText, Span
from rasterc.fonts.bdf_glyph import GlyphError, bitmap_bytes, integers
from rasterc.fonts.bitmap import (
    MAX_SIDE,
    Bitmap,
    FontFile,
    FontHeader,
    Room,
    assemble,
    columns_of_rows,
)
from rasterc.fonts.charset import CharOf, char_of_charset, unicode_char
from rasterc.fonts.faults import MAX_REPORTED, raise_faults

SPACING_PROPERTY = "RASTERC_SPACING"
_MAX_HEADER_LINES = 10_000  # real files have some fifty
_STARTCHAR = re.compile(r"^STARTCHAR", re.MULTILINE)


class _Reader(Struct):
    """The state of one reading. ``keys`` and ``properties`` hold values with their places."""

    source: SourceText
    room: Room
    keys: dict[str, tuple[str, Span]] = field(default_factory=dict)
    properties: dict[str, tuple[str, Span]] = field(default_factory=dict)
    faults: list[Diagnostic] = field(default_factory=list)
    notes: list[Diagnostic] = field(default_factory=list)
    char_of: CharOf = unicode_char
    unencoded: int = 0
    ended: bool = False

    def fault(self, code: str, message: str, span: Span | None, help: str = "") -> None:
        self.faults.append(Diagnostic(code, message, span, help))

    def note(self, code: str, message: str, span: Span | None, help: str = "") -> None:
        self.notes.append(Diagnostic(code, message, span, help, Severity.NOTE))

    def span(self, start: int, end: int) -> Span:
        return Span(self.source, start, end)


def parse_bdf(source: SourceText, name: str, charset: str | None = None) -> FontFile:
    """The font in a BDF text.

    Args:
        source: the text; line ends may be LF, CR LF or CR.
        name: how the font is called (files are known by their file names).
        charset: character set of the codes ("iso8859-2", "unicode"), against what the file says.

    Raises:
        InputError: with every fault of the file, each at its line.
    """
    source = _plain_lines(source)
    reader = _Reader(source, Room(source.name))
    starts = [match.start() for match in _STARTCHAR.finditer(source.text)]
    _read_header(reader, starts[0] if starts else len(source.text))
    raise_faults(reader.faults)  # not BDF at all: no use in looking further
    _choose_charset(reader, charset)
    bitmaps: list[Bitmap] = []
    for start, end in pairwise([*starts, len(source.text)]):
        bitmap = _read_glyph(reader, start, end)
        if bitmap is not None:
            bitmaps.append(bitmap)
        elif len(reader.faults) > MAX_REPORTED:
            break
    _check_end(reader, len(starts))
    header = _font_header(reader, name)
    raise_faults(reader.faults)
    read = assemble(header, bitmaps)
    return FontFile(read.font, (*reader.notes, *read.notes))


def _plain_lines(source: SourceText) -> SourceText:
    """The text with lines that end in LF alone, without blanks before it."""
    text = source.text
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if " \n" in text or "\t\n" in text:
        text = re.sub(r"[ \t]+\n", "\n", text)
    return SourceText(source.name, text)


def _read_header(reader: _Reader, end: int) -> None:
    """Keys and properties before the first glyph."""
    if reader.source.text.count("\n", 0, end) > _MAX_HEADER_LINES:
        message = f"{reader.source.name} has over {_MAX_HEADER_LINES} lines before its first glyph"
        reader.fault("not-bdf", message, None)
        return
    start, inside = 0, False
    for line in reader.source.text[:end].split("\n"):
        span = reader.span(start, start + len(line))
        start += len(line) + 1
        key, _, value = line.strip().partition(" ")
        if not key or key == "COMMENT":
            continue
        if not reader.keys and key != "STARTFONT":
            reader.fault("not-bdf", "a BDF file begins with STARTFONT", span)
            return
        if key in ("STARTPROPERTIES", "ENDPROPERTIES"):
            inside = key == "STARTPROPERTIES"
        elif inside:
            reader.properties[key] = (_unquote(value), span)
        else:
            reader.keys[key] = (value.strip(), span)
    if not reader.keys:
        reader.fault("not-bdf", f"{reader.source.name} is empty", None)


def _unquote(value: str) -> str:
    """A property's value; a text stands between quotes, a quote inside is doubled (note 5005)."""
    value = value.strip()
    if len(value) >= 2 and value[0] == value[-1] == '"':
        return value[1:-1].replace('""', '"')
    return value


def _choose_charset(reader: _Reader, charset: str | None) -> None:
    """Settle what codes mean: as asked, by the properties, by the font's X name, as Unicode."""
    name, span = charset, None
    if name is None:
        registry, encoding = (
            reader.properties.get(key) for key in ("CHARSET_REGISTRY", "CHARSET_ENCODING")
        )
        x_name = reader.keys.get("FONT", ("", None))
        if registry and encoding:
            name, span = f"{registry[0]}-{encoding[0]}", registry[1]
        elif x_name[0].startswith("-") and x_name[0].count("-") == 14:
            name, span = "-".join(x_name[0].split("-")[-2:]), x_name[1]
    if name is None or name == "-":
        message = f"{reader.source.name} names no character set; its codes are read as Unicode"
        reader.note("no-charset", message, None)
        return
    char_of = char_of_charset(name)
    if char_of is None:
        reader.fault("unknown-charset", *unknown_charset(name, span))
        return
    reader.char_of = char_of


def unknown_charset(name: str, span: Span | None = None) -> tuple[str, Span | None, str]:
    """Message, place and help for a character set that cannot be read."""
    message = f'the character set "{name}" cannot be read; Unicode and ISO 8859 sets can'
    help = "if you know what the codes are, import the font with --charset unicode or iso8859-1"
    return message, span, help


def _read_glyph(reader: _Reader, start: int, end: int) -> Bitmap | None:
    """The glyph between two offsets; None when it has no code or, with a fault noted, no sense."""
    lines = reader.source.text[start:end].split("\n")
    try:
        return _glyph(reader, lines)
    except GlyphError as fault:
        at = start + sum(len(line) + 1 for line in lines[: fault.line])
        length = len(lines[fault.line]) if fault.line < len(lines) else 0
        glyph = lines[0].partition(" ")[2].strip()
        message = f'glyph "{glyph}": {fault.message}'
        reader.fault("bad-glyph", message, reader.span(at, at + max(length, 1)))
    return None


def _glyph(reader: _Reader, lines: list[str]) -> Bitmap | None:
    values, rows_from = _glyph_keys(reader, lines)
    code, *alternative = integers(values, "ENCODING", 1, 2)
    if code < 0 and alternative:  # "-1 n": n is a code outside Adobe's standard encoding
        code = alternative[0]
    width, height, left, bottom = integers(values, "BBX", 4)
    advance = integers(values, "DWIDTH", 1, 2)[0]
    if min(width, height) < 0 or max(width, height, *map(abs, (left, bottom, advance))) > MAX_SIDE:
        raise GlyphError(values["BBX"][0], f"sizes and offsets go up to {MAX_SIDE}")
    reader.room.take(width, height, advance)
    data = bitmap_bytes(lines, rows_from, width, height)
    _check_tail(reader, lines, rows_from + height)
    char = reader.char_of(code) if code >= 0 else None
    if char is None:
        reader.unencoded += 1
        return None
    return Bitmap(char, columns_of_rows(data, width, height), left, bottom, advance)


def _glyph_keys(reader: _Reader, lines: list[str]) -> tuple[dict[str, tuple[int, str]], int]:
    """Keys before the bitmap, with their line numbers in the glyph, and where the rows begin."""
    values: dict[str, tuple[int, str]] = {}
    if "DWIDTH" in reader.keys:  # BDF 2.2 allows one for the whole font
        values["DWIDTH"] = (0, reader.keys["DWIDTH"][0])
    for number, line in enumerate(lines):
        key, _, value = line.partition(" ")
        if key == "BITMAP":
            return values, number + 1
        values[key] = (number, value)
    raise GlyphError(0, "no BITMAP line")


def _check_tail(reader: _Reader, lines: list[str], number: int) -> None:
    """ENDCHAR, and nothing but comments and the end of the font after it."""
    if number >= len(lines) or lines[number].rstrip() != "ENDCHAR":
        last = min(number, len(lines) - 1)
        raise GlyphError(last, "ENDCHAR was expected here, after the rows that BBX announces")
    for at in range(number + 1, len(lines)):
        word = lines[at].strip()
        if word == "ENDFONT":
            reader.ended = True
            return
        if word and not word.startswith("COMMENT"):
            raise GlyphError(at, "after ENDCHAR comes the next STARTCHAR or ENDFONT")


def _check_end(reader: _Reader, count: int) -> None:
    """Notes and faults about the file as a whole."""
    if reader.faults:
        return
    name, length = reader.source.name, len(reader.source.text)
    if count and not reader.ended:
        message = f"{name} ends without ENDFONT: a part of it is missing"
        reader.fault("file-cut-short", message, reader.span(length, length))
    announced, span = reader.keys.get("CHARS", ("", None))
    if announced != str(count):
        message = f"CHARS announces {announced or 'no'} glyphs, there are {count}"
        reader.note("glyph-count", message, span)
    if reader.unencoded:
        message = f"{name}: {reader.unencoded} glyphs without a character left out"
        reader.note("glyph-left-out", message, None)


def _font_header(reader: _Reader, name: str) -> FontHeader:
    """Cell and spacing: from the properties, else from the font's bounding box."""
    box = reader.keys.get("FONTBOUNDINGBOX", ("", None))[0].split()
    ascent = descent = 0
    if len(box) == 4 and all(re.fullmatch(r"-?\d{1,4}", word) for word in box):
        ascent, descent = int(box[1]) + int(box[3]), -int(box[3])
    spacing = _property(reader, SPACING_PROPERTY)
    ascent_row, descent_row = (_property(reader, key) for key in ("FONT_ASCENT", "FONT_DESCENT"))
    return FontHeader(
        name,
        ascent if ascent_row is None else ascent_row,
        descent if descent_row is None else descent_row,
        None if spacing is None else max(spacing, 0),
        reader.source.name,
    )


def _property(reader: _Reader, key: str) -> int | None:
    """A property that is a whole number; None when the file does not have it."""
    if key not in reader.properties:
        return None
    value, span = reader.properties[key]
    if re.fullmatch(r"-?\d{1,4}", value) and abs(int(value)) <= MAX_SIDE:
        return int(value)
    reader.fault("bad-property", f"{key} takes a whole number up to {MAX_SIDE}", span)
    return None

"""Writing BDF 2.1 (Adobe technical note 5005), with the X logical font name of our own foundry."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from rasterc.fonts.bdf import SPACING_PROPERTY
from rasterc.fonts.model import Font, Glyph

FOUNDRY = "Rasterc"
_DPI = 72  # at 72 dots an inch one row is one point


def format_bdf(font: Font) -> str:
    """The font as BDF text, glyphs in code point order, every bitmap as high as the cell.

    The advance of a glyph is its width and the font's spacing; the spacing itself is kept as a
    property of our own, so that `rasterc.fonts.bdf.parse_bdf` gives back an equal font.
    """
    widths = [glyph.width for glyph in font.glyphs.values()]
    lines = [
        "STARTFONT 2.1",
        f"FONT {_x_name(font)}",
        f"SIZE {font.height} {_DPI} {_DPI}",
        f"FONTBOUNDINGBOX {max(widths, default=0)} {font.height} 0 {-font.descent}",
        *_properties(font),
        f"CHARS {len(font.glyphs)}",
    ]
    for char in sorted(font.glyphs):
        lines += _glyph(font.glyphs[char], font)
    return "\n".join([*lines, "ENDFONT", ""])


def _x_name(font: Font) -> str:
    """The X logical font name; its fields are separated by hyphens, so ours are replaced."""
    spacing, average = _pitch(font)
    size = f"{font.height}-{font.height * 10}-{_DPI}-{_DPI}"
    family = _family(font)
    return f"-{FOUNDRY}-{family}-Medium-R-Normal--{size}-{spacing}-{average}-ISO10646-1"


def _family(font: Font) -> str:
    printable = "".join(c if " " <= c <= "~" and c not in '"*?,' else " " for c in font.name)
    return " ".join(printable.replace("-", " ").split()) or "Unnamed"


def _pitch(font: Font) -> tuple[str, int]:
    """Whether all glyphs are of one width (C) or not (P), and the average advance times ten."""
    advances = [glyph.width + font.spacing for glyph in font.glyphs.values()]
    average = round(10 * sum(advances) / len(advances)) if advances else 0
    return ("C" if len(set(advances)) == 1 else "P"), average


def _properties(font: Font) -> list[str]:
    spacing, average = _pitch(font)
    entries: dict[str, str | int] = {
        "FOUNDRY": FOUNDRY,
        "FAMILY_NAME": _family(font),
        "WEIGHT_NAME": "Medium",
        "SLANT": "R",
        "SETWIDTH_NAME": "Normal",
        "PIXEL_SIZE": font.height,
        "POINT_SIZE": font.height * 10,
        "RESOLUTION_X": _DPI,
        "RESOLUTION_Y": _DPI,
        "SPACING": spacing,
        "AVERAGE_WIDTH": average,
        "CHARSET_REGISTRY": "ISO10646",
        "CHARSET_ENCODING": "1",
        "FONT_ASCENT": font.ascent,
        "FONT_DESCENT": font.descent,
        "DEFAULT_CHAR": _default_char(font),
        SPACING_PROPERTY: font.spacing,
    }
    lines = [
        f'{key} "{value}"' if isinstance(value, str) else f"{key} {value}"
        for key, value in entries.items()
    ]
    return [f"STARTPROPERTIES {len(lines)}", *lines, "ENDPROPERTIES"]


def _default_char(font: Font) -> int:
    """What programs draw for a character the font lacks. rasterc itself reports it instead."""
    return next((ord(c) for c in "? " if c in font.glyphs), ord(min(font.glyphs, default="\0")))


def _glyph(glyph: Glyph, font: Font) -> Iterator[str]:
    advance = glyph.width + font.spacing
    yield f"STARTCHAR {_glyph_name(glyph.char)}"
    yield f"ENCODING {ord(glyph.char)}"
    yield f"SWIDTH {round(1000 * advance / font.height)} 0"  # thousandths of the point size
    yield f"DWIDTH {advance} 0"
    if glyph.columns:
        yield f"BBX {glyph.width} {font.height} 0 {-font.descent}"
    else:
        yield "BBX 0 0 0 0"
    yield "BITMAP"
    yield from _rows(glyph, font.height) if glyph.columns else ()
    yield "ENDCHAR"


def _rows(glyph: Glyph, height: int) -> Iterator[str]:
    """Rows in hexadecimal, top first, padded with zeros on the right to whole bytes."""
    digits = (glyph.width + 7) // 8 * 2
    for row in range(height - 1, -1, -1):
        bits = "".join("1" if column >> row & 1 else "0" for column in glyph.columns)
        yield f"{int(bits.ljust(digits * 4, '0'), 2):0{digits}X}"


def _glyph_name(char: str) -> str:
    """The Unicode name in one word, as readers of BDF take one word; uniXXXX without a name."""
    return unicodedata.name(char, f"uni{ord(char):04X}").replace(" ", "_")

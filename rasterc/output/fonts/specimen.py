"""Specimens of a font: its glyphs with their code points, or a text set in it.

For the terminal as text, and as PNG pictures with round drops.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import islice
from typing import TYPE_CHECKING, Any

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.fonts.art import glyph_rows
from rasterc.fonts.model import Font, Glyph
from rasterc.layout.model import MAX_PICTURE_PIXELS, MAX_STROKES

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_PITCHES = (8, 7, 6, 5, 4)  # pixels from drop to drop: the largest that keeps the picture small
_MARGIN = 16
_LABEL = 14  # pixels of a line of label
_SHEET_WIDTH = 1400
_INK, _GRID, _BASELINE, _LABEL_INK = 20, 205, (130, 170, 230), (170, 40, 30)


def chosen_glyphs(font: Font, chars: str | None) -> tuple[Glyph, ...]:
    """The glyphs of the characters asked for, in that order; all in code point order when None.

    Raises:
        InputError: the font lacks some of them; names each.
    """
    if chars is None:
        return tuple(font.glyphs[char] for char in sorted(font.glyphs))
    faults = [missing_character(font, char) for char in font.missing(chars)]
    if faults:
        raise InputError(faults)
    return tuple(font.glyphs[char] for char in dict.fromkeys(chars))


def missing_character(font: Font, char: str) -> Diagnostic:
    """That the font does not carry a character."""
    message = f'the font "{font.name}" has no {code_point(char)} {printable(char)}'.rstrip()
    return Diagnostic("missing-character", message)


def code_point(char: str) -> str:
    """``U+0041``."""
    return f"U+{ord(char):04X}"


def printable(char: str) -> str:
    """The character itself if it can stand alone in a terminal, else nothing."""
    if unicodedata.category(char)[0] in "CM" or unicodedata.east_asian_width(char) in "WF":
        return ""
    return char.strip()


def text_columns(font: Font, text: str) -> tuple[int, ...]:
    """Strokes of a text set in the font.

    Raises:
        InputError: characters the font lacks, or a text that is too long.
    """
    faults = [missing_character(font, char) for char in font.missing(text)]
    if faults:
        raise InputError(faults)
    columns: list[int] = []
    for index, char in enumerate(text):
        columns += (0,) * font.spacing if index else ()
        columns += font.glyphs[char].columns
        if len(columns) > MAX_STROKES:
            raise InputError.one("text-too-long", f"the text has over {MAX_STROKES:,} strokes")
    return tuple(columns)


def specimen_text(font: Font, glyphs: Sequence[Glyph], width: int = 80) -> str:
    """The glyphs under their code points, in as many columns as ``width`` holds."""
    labels = {g.char: f"{code_point(g.char)} {printable(g.char)}".rstrip() for g in glyphs}
    cell = max((max(g.width, len(labels[g.char])) for g in glyphs), default=1)
    across = max(1, (width + 2) // (cell + 2))
    bands = []
    for band in _chunks(glyphs, across):
        rows = [[labels[g.char] for g in band]]
        rows += map(list, zip(*(glyph_rows(g, font.height) for g in band), strict=True))
        bands.append(
            "\n".join("  ".join(f"{part:<{cell}}" for part in row).rstrip() for row in rows)
        )
    return "\n\n".join(bands)


def text_art(font: Font, text: str, width: int = 80) -> str:
    """A text set in the font as ``#`` and ``.``, in panels of at most ``width`` strokes.

    Raises:
        InputError: as `text_columns`.
    """
    panels = _chunks(text_columns(font, text), max(1, width))
    return "\n\n".join("\n".join(glyph_rows(Glyph(" ", p), font.height)) for p in panels)


def specimen_png(font: Font, glyphs: Sequence[Glyph]) -> bytes:
    """A sheet of the glyphs as round drops under their code points, as PNG.

    The thin line is the baseline; light dots are drops that are not printed.

    Raises:
        InputError: the sheet would be too large.
    """
    from PIL import ImageDraw

    sheet = _sheet(font, glyphs)
    image = _blank(sheet.size)
    pen = ImageDraw.Draw(image)
    label = _label_font()
    pen.text((_MARGIN, _MARGIN // 2), _title(font), fill=_LABEL_INK, font=label)
    for index, glyph in enumerate(glyphs):
        x, y = sheet.place(index)
        pen.text((x, y), code_point(glyph.char), fill=_LABEL_INK, font=label)
        _draw(image, font, glyph.columns, (x, y + _LABEL), sheet.pitch)
    return _png(image)


def text_png(font: Font, text: str) -> bytes:
    """A text set in the font as round drops, as PNG.

    Raises:
        InputError: as `text_columns`, or the picture would be too large.
    """
    columns = text_columns(font, text)
    sizes = {
        pitch: (2 * _MARGIN + len(columns) * pitch, 2 * _MARGIN + font.height * pitch)
        for pitch in _PITCHES
    }
    pitch = _first_small(sizes)
    image = _blank(sizes[pitch])
    _draw(image, font, columns, (_MARGIN, _MARGIN), pitch)
    return _png(image)


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Cells of one size in rows, all in pixels."""

    pitch: int
    cell: tuple[int, int]
    across: int
    down: int

    @property
    def size(self) -> tuple[int, int]:
        return (
            _MARGIN + self.across * self.cell[0],
            _MARGIN + 2 * _LABEL + self.down * self.cell[1],
        )

    def place(self, index: int) -> tuple[int, int]:
        """Top left corner of a cell, counted row by row."""
        row, column = divmod(index, self.across)
        return _MARGIN + column * self.cell[0], _MARGIN + 2 * _LABEL + row * self.cell[1]


def _sheet(font: Font, glyphs: Sequence[Glyph]) -> _Sheet:
    widest = max((glyph.width for glyph in glyphs), default=1)
    sheets = {}
    for pitch in _PITCHES:
        cell = max((widest + 2) * pitch, 52), (font.height + 1) * pitch + _LABEL
        across = max(1, min(len(glyphs), (_SHEET_WIDTH - _MARGIN) // cell[0]))
        sheets[pitch] = _Sheet(pitch, cell, across, -(-len(glyphs) // across))
    return sheets[_first_small({pitch: sheet.size for pitch, sheet in sheets.items()})]


def _first_small(sizes: Mapping[int, tuple[int, int]]) -> int:
    """The first pitch whose picture is small enough; the last when none is."""
    small = [pitch for pitch, (w, h) in sizes.items() if w * h <= MAX_PICTURE_PIXELS]
    return small[0] if small else _PITCHES[-1]


def _title(font: Font) -> str:
    name = font.name.encode("latin-1", "replace").decode("latin-1")
    return (
        f"{name}   {font.height} rows: {font.ascent} above and {font.descent} below the baseline"
        f"   spacing {font.spacing}   {len(font.glyphs)} glyphs"
    )


def _chunks(items: Iterable[Any], size: int) -> Iterator[tuple[Any, ...]]:
    iterator = iter(items)
    while chunk := tuple(islice(iterator, size)):
        yield chunk


def _blank(size: tuple[int, int]) -> Any:
    from PIL import Image

    if size[0] * size[1] > MAX_PICTURE_PIXELS:
        raise InputError.one(
            "picture-too-large",
            f"the picture would have {size[0]} x {size[1]} pixels, "
            f"the limit is {MAX_PICTURE_PIXELS:,}",
            help="choose fewer characters",
        )
    return Image.new("RGB", size, "white")


def _label_font() -> Any:
    from PIL import ImageFont

    return ImageFont.load_default(11)


def _draw(
    image: Any, font: Font, columns: tuple[int, ...], at: tuple[int, int], pitch: int
) -> None:
    """The drops of a cell and its baseline, the top left corner at ``at``."""
    if not columns:
        return
    from PIL import Image, ImageDraw

    x, y = at
    image.paste(Image.fromarray(_shades(columns, font.height, pitch)), at)
    baseline = y + font.ascent * pitch
    line = (x, baseline, x + len(columns) * pitch - 1, baseline)
    ImageDraw.Draw(image).line(line, fill=_BASELINE)


def _shades(columns: tuple[int, ...], height: int, pitch: int) -> NDArray[np.uint8]:
    """Grey values of a cell, shape (height x pitch, columns x pitch)."""
    import numpy as np

    rows = [[column >> row & 1 for column in columns] for row in range(height - 1, -1, -1)]
    printed = np.array(rows, dtype=np.float64)
    ink = np.kron(printed, _disc(0.48, pitch)) * (255 - _INK)
    grid = np.kron(1 - printed, _disc(0.12, pitch)) * (255 - _GRID)
    shades: NDArray[np.uint8] = (255 - ink - grid).round().astype(np.uint8)
    return shades


def _disc(radius: float, pitch: int) -> NDArray[np.float64]:
    """How much of each pixel a disc covers; ``radius`` in distances from drop to drop."""
    import numpy as np

    fine = 8
    at = (np.arange(pitch * fine) + 0.5) / (pitch * fine) - 0.5
    inside = at[:, None] ** 2 + at[None, :] ** 2 <= radius**2
    cover: NDArray[np.float64] = inside.reshape(pitch, fine, pitch, fine).mean(axis=(1, 3))
    return cover


def _png(image: Any) -> bytes:
    out = BytesIO()
    image.save(out, "PNG")
    return out.getvalue()

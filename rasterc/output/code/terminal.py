"""Strokes in the terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType

from msgspec import Struct

from rasterc.diagnostics import InputError, did_you_mean
from rasterc.layout.model import Strokes
from rasterc.output.code.labels import Label, place_labels
from rasterc.output.code.styles import TerminalStyle

MIN_WIDTH = 20
_TICKS = 10  # strokes, or braille characters of two strokes, between numbers of the ruler
_LOOK_BACK = 12  # strokes: about a character and a half


class _Cell(Struct, frozen=True):
    """Strokes and rows in one character, how a text line is drawn, and marks around it."""

    strokes: int
    rows: int
    draw: Callable[[Sequence[int], int], str]
    tick: str
    bracket: tuple[str, str, str]  # left corner, filler, right corner


def render_terminal(
    strokes: Strokes,
    width: int = 80,
    style: str = TerminalStyle.BLOCK,
    *,
    labels: bool = False,
    row_numbers: bool = False,
) -> str:
    """The drops as text, in panels of at most ``width`` characters.

    Each panel starts with a ruler of stroke numbers, counted from 0. ``labels`` writes field
    names under their strokes; ``row_numbers`` the number of the lowest row of each text line.

    Raises:
        InputError: an unknown style, or fewer than `MIN_WIDTH` characters.
    """
    cell = _cell(style)
    if width < MIN_WIDTH:
        raise InputError.one(
            "terminal-too-narrow",
            f"{width} characters are too few to draw in",
            help=f"give a width of {MIN_WIDTH} or more",
        )
    if not len(strokes):
        return "(nothing is printed)"
    gutter = 3 if row_numbers else 0
    step = (width - gutter) * cell.strokes
    columns = strokes.bits
    placed = place_labels(strokes, lambda box: (len(box.name) + 1) * cell.strokes) if labels else ()
    panels = []
    for first, end in _panels(columns, step):
        lines = [" " * gutter + _ruler(first, end, cell)]
        lines += _rows(columns[first:end], strokes.raster, cell, row_numbers)
        lines += [" " * gutter + line for line in _labels(placed, first, end, cell, width - gutter)]
        panels.append("\n".join(line.rstrip() for line in lines))
    return "\n\n".join(panels)


def style_for(style: TerminalStyle, encoding: str) -> TerminalStyle:
    """``style``, or the plain one when text in ``encoding`` cannot carry its characters."""
    cell = _cell(style)
    used = "".join((cell.draw(range(4), 0), cell.tick, *cell.bracket))
    try:
        used.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return TerminalStyle.PLAIN
    return style


def _panels(columns: Sequence[int], step: int) -> Iterator[tuple[int, int]]:
    """Strokes of each panel: at most ``step``, ending at a gap if there is one near the end."""
    first = 0
    while first < len(columns):
        end = min(first + step, len(columns))
        if end < len(columns):
            near = range(end, max(end - _LOOK_BACK, first + 1), -1)
            end = next((stroke for stroke in near if not columns[stroke - 1]), end)
        yield first, end
        first = end


def _cell(style: str) -> _Cell:
    cell = _CELLS.get(style)
    if cell is None:
        raise InputError.one(
            "unknown-style",
            f'"{style}" is no way to draw drops',
            help=did_you_mean(style, [str(s) for s in TerminalStyle]),
        )
    return cell


def _ruler(first: int, end: int, cell: _Cell) -> str:
    """A tick and a number at every tenth character."""
    step = _TICKS * cell.strokes
    start = -(-first // step) * step
    room = -(-(end - first) // cell.strokes)
    line = " " * ((start - first) // cell.strokes)
    for stroke in range(start, end, step):
        line += f"{cell.tick}{stroke}".ljust(_TICKS)
    shown = line[:room]
    # A number cut off at the end would be another number.
    cut = line[:room].rstrip() != line.rstrip()
    return shown[: shown.rfind(cell.tick) + 1] if cut and cell.tick in shown else shown


def _rows(columns: Sequence[int], raster: int, cell: _Cell, numbers: bool) -> list[str]:
    lines = []
    for low in range(raster - cell.rows, -cell.rows, -cell.rows):
        text = cell.draw(columns, low)
        lines.append(f"{max(0, low):>2} {text}" if numbers else text)
    return lines


def _labels(labels: Sequence[Label], first: int, end: int, cell: _Cell, width: int) -> list[str]:
    """The parts of the labels in a panel; a field over two panels is named in both."""
    rows: dict[int, str] = {}
    for label in labels:
        if label.first < end and max(label.end, label.first + 1) > first:
            shown = max(label.first, first), max(min(label.end, end), label.first)
            start = (shown[0] - first) // cell.strokes
            length = -(-(shown[1] - first) // cell.strokes) - start
            text = _bracketed(label.name, length, cell.bracket)
            line = rows.get(label.row, "")
            rows[label.row] = line.ljust(start)[:start] + text
    return [rows[row][:width] for row in sorted(rows)]


def _bracketed(name: str, length: int, bracket: tuple[str, str, str]) -> str:
    """The name between corners as long as its field, or after a corner where that is short."""
    left, filler, right = bracket
    if length < len(name) + 2:
        return left + name
    return left + name + filler * (length - len(name) - 2) + right


def _draw_blocks(columns: Sequence[int], low: int) -> str:
    """Rows ``low`` and ``low + 1``; a row below 0 is empty."""
    if low < 0:
        return "".join(" ▀"[column & 1] for column in columns)
    return "".join(" ▄▀█"[column >> low & 3] for column in columns)


def _draw_dots(columns: Sequence[int], low: int) -> str:
    return "".join("·●"[column >> low & 1] for column in columns)


def _draw_plain(columns: Sequence[int], low: int) -> str:
    return "".join(".#"[column >> low & 1] for column in columns)


def _draw_braille(columns: Sequence[int], low: int) -> str:
    """Rows ``low`` to ``low + 3``. The code point is U+2800 plus a bit for each dot (Unicode)."""
    pairs = zip(columns[::2], [*columns[1::2], 0], strict=False)
    return "".join(chr(0x2800 | _dots(a, low, _LEFT) | _dots(b, low, _RIGHT)) for a, b in pairs)


_LEFT, _RIGHT = (0x40, 0x04, 0x02, 0x01), (0x80, 0x20, 0x10, 0x08)  # from the lowest dot up


def _dots(column: int, low: int, bits: tuple[int, ...]) -> int:
    four = column >> low if low >= 0 else column << -low
    return sum(bit for row, bit in enumerate(bits) if four >> row & 1)


_CORNERS = ("└", "─", "┘")
_CELLS: Mapping[str, _Cell] = MappingProxyType(
    {
        TerminalStyle.BLOCK: _Cell(1, 2, _draw_blocks, "╷", _CORNERS),
        TerminalStyle.BRAILLE: _Cell(2, 4, _draw_braille, "╷", _CORNERS),
        TerminalStyle.DOTS: _Cell(1, 1, _draw_dots, "╷", _CORNERS),
        TerminalStyle.PLAIN: _Cell(1, 1, _draw_plain, "|", ("[", "-", "]")),
    }
)

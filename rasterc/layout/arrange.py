"""A resolved message and its fonts to a layout: every line and picture at its place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, structs

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.fonts.model import Font
from rasterc.layout.lines import LineSetter, StyleKey, style_key
from rasterc.layout.model import MAX_RASTER, MAX_STROKES, FieldBox, Layout, PlacedLine
from rasterc.layout.picture import find_picture, read_picture
from rasterc.layout.rows import Kind, Slab, faults, place, stood
from rasterc.layout.text_faults import missing_glyphs, tower_too_wide
from rasterc.source.message import Align, Line, Picture, Stand
from rasterc.values.model import ResolvedBlock, ResolvedLine, ResolvedMessage, Run

Pixels = tuple[tuple[int, ...], int]


class Composer:
    """Keeps set characters and read pictures between messages. Make one, use it for many.

    A picture is read again when its file has changed. Not for use by two threads at once.
    """

    __slots__ = ("_pictures", "_setters")

    _LIMIT = 256  # fonts in all their styles; a long-lived page may meet more

    def __init__(self) -> None:
        self._setters: dict[StyleKey, LineSetter] = {}
        self._pictures: dict[tuple[str, int, int], Pixels] = {}

    def setter(self, font: Font, line: Line) -> LineSetter:
        """What sets the characters of ``font`` in the style of ``line``."""
        key = style_key(font, line)
        known = self._setters.get(key)
        if known is None:
            if len(self._setters) >= self._LIMIT:
                self._setters.clear()
            # The setter keeps its font alive, so the id in the key stays its own.
            known = self._setters[key] = LineSetter(font, line)
        return known

    def picture(self, picture: Picture, folder: str) -> Pixels:
        """A picture's strokes and its height. Raises `InputError` as `read_picture` does."""
        path = find_picture(picture, folder)
        state = path.stat()
        key = str(path), state.st_mtime_ns, state.st_size
        if key not in self._pictures:
            if len(self._pictures) >= self._LIMIT:
                self._pictures.clear()
            self._pictures[key] = read_picture(picture, path)
        return self._pictures[key]


class _SetLine(Struct, frozen=True):
    """A line measured but not yet placed."""

    resolved: ResolvedLine
    setter: LineSetter
    length: int
    slab: Slab


class _SetPicture(Struct, frozen=True):
    picture: Picture
    columns: tuple[int, ...]
    length: int
    slab: Slab


_Item = _SetLine | _SetPicture


def lay_out(
    resolved: ResolvedMessage, fonts: Mapping[str, Font], composer: Composer | None = None
) -> Layout:
    """Place every line and picture of a message on its raster.

    ``fonts`` is asked for the `Line.font` of each line; it may read them late and raise
    `InputError` itself. Other fonts in it are named as remedies. A ``composer`` that is kept
    makes later messages faster.

    Raises:
        InputError: everything that keeps the message from being laid out: unknown fonts,
            missing glyphs, lines that overlap or reach above the raster, pictures that cannot
            be used, a message longer than `MAX_STROKES`.
    """
    composer = composer or Composer()
    reports: list[list[Diagnostic]] = [[] for _ in resolved.blocks]
    pairs = list(zip(resolved.blocks, reports, strict=True))
    blocks = [_measured(block, resolved, fonts, composer, own) for block, own in pairs]
    blocks = _stood(blocks, resolved)
    for (block, own), items in zip(pairs, blocks, strict=True):
        own += _faults(block, items, resolved, fonts)
    found = [fault for own in reports for fault in own]
    gaps = [block.block.gap for block in resolved.blocks]
    lengths = [max((item.length for item in items), default=0) for items in blocks]
    length = sum(gaps) + sum(lengths)
    if length > MAX_STROKES:
        found.append(_too_long(length, blocks, resolved))
    if found:
        raise InputError(found)
    placed: list[PlacedLine] = []
    first = 0
    for index, (items, gap, width) in enumerate(zip(blocks, gaps, lengths, strict=True)):
        first += gap
        placed += _placed(items, index, first, width, resolved.message.raster)
        first += width
    return Layout(resolved.message.raster, length, tuple(placed))


def _measured(
    block: ResolvedBlock,
    resolved: ResolvedMessage,
    fonts: Mapping[str, Font],
    composer: Composer,
    found: list[Diagnostic],
) -> list[_Item]:
    """The items of a block; adds what is wrong with them to ``found``."""
    message = resolved.message
    items: list[_Item] = []
    contents: Sequence[ResolvedLine | Picture] = (
        (block.content,) if isinstance(block.content, Picture) else block.content
    )
    for number, content in enumerate(contents, 1):
        try:
            if isinstance(content, Picture):
                items.append(_set_picture(content, message.folder, composer))
            else:
                items.append(_set_line(content, number, fonts, composer, found))
        except InputError as error:
            found += error.diagnostics
    return items


def _stood(blocks: list[list[_Item]], resolved: ResolvedMessage) -> list[list[_Item]]:
    """The items of all blocks, those that are made to stand on their rows."""
    stands = [block.block.stand for block in resolved.blocks]
    if not any(stand is not Stand.BOTTOM for stand in stands):
        return blocks
    pairs = list(zip(blocks, stands, strict=True))
    low = [item.slab.below for items, s in pairs if s is Stand.BASELINE for item in items]
    baseline, raster = max(low, default=0), resolved.message.raster
    return [
        [structs.replace(i, slab=stood(i.slab, stand, baseline, raster)) for i in items]
        for items, stand in pairs
    ]


def _faults(
    block: ResolvedBlock,
    items: Sequence[_Item],
    resolved: ResolvedMessage,
    fonts: Mapping[str, Font],
) -> list[Diagnostic]:
    content = block.content
    if len(items) < (1 if isinstance(content, Picture) else len(content)):
        return []  # heights are not known
    slabs = [item.slab for item in items]
    return faults(slabs, resolved.message.raster, block.block.span, fonts)


def _set_line(
    content: ResolvedLine,
    number: int,
    fonts: Mapping[str, Font],
    composer: Composer,
    found: list[Diagnostic],
) -> _SetLine:
    line = content.line
    font = _font(line, fonts)
    setter = composer.setter(font, line)
    found += missing_glyphs(content, font, fonts)
    found += tower_too_wide(content, setter)
    kind = Kind.INVERSE if line.inverse else Kind.TOWER if line.tower else Kind.TEXT
    label, below = f"line {number}", setter.rows_below
    slab = Slab(setter.rows, line.row, label, kind, line.font, line.span, below)
    return _SetLine(content, setter, setter.length(content.text), slab)


def _font(line: Line, fonts: Mapping[str, Font]) -> Font:
    try:
        font = fonts[line.font]
    except KeyError:
        raise InputError.one(
            "unknown-font",
            f'there is no font "{line.font}"',
            line.font_span,
            did_you_mean(line.font, fonts),
        ) from None
    if font.height > MAX_RASTER:
        raise InputError.one(
            "font-too-high",
            f'font "{line.font}" is {font.height} rows high, a raster at most {MAX_RASTER}',
            line.font_span,
            "use a lower font",
        )
    return font


def _set_picture(picture: Picture, folder: str, composer: Composer) -> _SetPicture:
    columns, rows = composer.picture(picture, folder)
    if picture.inverse:
        full = (1 << rows) - 1
        columns = tuple(full ^ column for column in columns)
    slab = Slab(rows, picture.row, "the picture", Kind.PICTURE, picture.path, picture.span)
    return _SetPicture(picture, columns, len(columns), slab)


def _too_long(
    length: int, blocks: Sequence[Sequence[_Item]], resolved: ResolvedMessage
) -> Diagnostic:
    items = [item for items in blocks for item in items]
    longest = max(items, key=lambda item: item.length, default=None)
    return Diagnostic(
        "message-too-long",
        f"the message is {length:,} strokes long, at most {MAX_STROKES:,} are possible",
        longest.slab.span if longest else resolved.message.span,
        "shorten its longest line, or lower its spacing, bold, wide or gap",
    )


def _placed(
    items: Sequence[_Item], block: int, first: int, width: int, raster: int
) -> Iterator[PlacedLine]:
    rows = place([item.slab for item in items], raster)
    for index, (item, row) in enumerate(zip(items, rows, strict=True)):
        if isinstance(item, _SetPicture):
            columns = tuple(column << row for column in item.columns)
            yield PlacedLine(item.picture, columns, first, row, row + item.slab.rows, ())
        else:
            indent = _indent(item.resolved.line.align, width - item.length)
            yield _placed_line(item, block, index, first + indent, row)


def _indent(align: Align, spare: int) -> int:
    """Empty strokes before a line; of an odd number the larger half follows a centred line."""
    return {Align.LEFT: 0, Align.CENTER: spare // 2, Align.RIGHT: spare}[align]


def _placed_line(item: _SetLine, block: int, index: int, first: int, row: int) -> PlacedLine:
    setter, line = item.setter, item.resolved.line
    columns: list[int] = []
    boxes = []
    limit = item.length - 2 * setter.margin if item.length else 0
    start, top = first + (setter.margin if item.length else 0), row + setter.rows
    for run in item.resolved.runs:
        begin = min(len(columns), limit)
        for char in run.text:
            columns += setter.columns(char)
        end = max(begin, len(columns) - setter.trailing) if run.text else begin
        boxes.append(_box(run, block, index, start + begin, start + end, row, top))
    del columns[limit:]
    if line.inverse and item.length:
        full = (1 << setter.rows) - 1
        columns = [full & ~column for column in (0, *columns, 0)]
    raised = tuple(column << row for column in columns) if row else tuple(columns)
    return PlacedLine(line, raised, first, row, top, tuple(boxes))


def _box(run: Run, block: int, line: int, first: int, end: int, bottom: int, top: int) -> FieldBox:
    return FieldBox(run.name, run.text, block, line, first, end, bottom, top, run.span)

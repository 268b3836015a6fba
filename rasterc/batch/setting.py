"""Columns of texts as strokes: every line set in its font, every block at its place."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from rasterc.batch.columns import Column, Table, coalesced, spelled
from rasterc.batch.spread import Bytes, Tokens, spread, tokens_of
from rasterc.domain.codes import Index
from rasterc.fonts.model import Font
from rasterc.layout.lines import LineSetter
from rasterc.source.message import Align, Line
from rasterc.values.dates.offsets import Flags

WIDTH = 2
"""Bytes of a stroke."""


@dataclass(frozen=True, slots=True, eq=False)
class SetLine:
    """A line of a message, ready to be set.

    Attributes:
        line, font, setter: its style.
        row: the raster row of its lowest drop.
        known: the strokes of characters that were met.
    """

    line: Line
    font: Font
    setter: LineSetter
    row: int
    known: dict[str, bytes | None] = field(default_factory=dict)

    def tokens(self, table: Table) -> tuple[Tokens, Flags]:
        """The strokes of each text, its gap included, and which texts can be set."""
        return table.once(("strokes", id(self)), lambda: self._tokens(table.texts))

    def _tokens(self, texts: Sequence[str | None]) -> tuple[Tokens, Flags]:
        known = self.known
        for char in {*"".join(text for text in texts if text)} - known.keys():
            known[char] = self._character(char)
        good = [text is not None and all(known[c] is not None for c in text) for text in texts]
        made = [
            b"".join(known[c] or b"" for c in text or "") if usable else b""
            for text, usable in zip(texts, good, strict=True)
        ]
        return tokens_of(made), np.array(good, np.bool_)

    def _character(self, char: str) -> bytes | None:
        """The strokes of a character; None when it cannot be set."""
        if char not in self.font.glyphs or self.setter.too_wide(char):
            return None
        full = self.full if self.line.inverse else 0
        return _packed(((full & ~c) if full else c) << self.row for c in self.setter.columns(char))

    @property
    def full(self) -> int:
        """A stroke of the whole cell."""
        return (1 << self.setter.rows) - 1

    @property
    def border(self) -> bytes:
        """The stroke at either end of an inverse line."""
        return _packed([self.full << self.row])

    def set(self, columns: Sequence[Column], rows: int) -> SetColumns:
        """The columns of a line made ready to be laid."""
        parts = [part for column in coalesced(columns, rows) for part in spelled(column)]
        ready = [self.tokens(part.table) for part in parts]
        ids = [part.of_rows() for part in parts]
        bad = np.zeros(rows, np.bool_)
        for (_, good), each in zip(ready, ids, strict=True):
            if not good.all():
                bad |= ~good[each]
        empty: Flags | bool = True
        for part, each in zip(parts, ids, strict=True):
            empty = empty & _empty(part.table)[each]
        return _measured(self, [tokens for tokens, _ in ready], ids, bad, empty)


def _packed(strokes: Iterable[int]) -> bytes:
    return np.fromiter(strokes, "<u2").tobytes()


def _empty(table: Table) -> Flags:
    return table.once("empty", lambda: np.array([not text for text in table.texts], np.bool_))


@dataclass(frozen=True, slots=True, eq=False)
class SetColumns:
    """A line of some rows, measured but not yet placed; sizes and places are in bytes.

    Attributes:
        tokens: of each column.
        ids: of each column, the number of each row's token.
        edges: where each column begins, and where the last one ends.
        margin: the border of an inverse line, by row where some print nothing.
        border: one stroke of it.
        size: of the whole line.
        bad: rows with a text that cannot be set.
    """

    tokens: Sequence[Tokens]
    ids: Sequence[Index | int]
    edges: Sequence[Index | int]
    margin: Index | int
    border: bytes
    size: Index | int
    bad: Flags

    def lay(self, to: Bytes, at: Index) -> None:
        """Put the strokes of each row to its place."""
        start = at + self.margin
        pairs = zip(self.tokens, self.ids, pairwise(self.edges), strict=True)
        for tokens, ids, (begin, end) in pairs:
            source = int(tokens.begin[ids]) if isinstance(ids, int) else tokens.begin[ids]
            spread(to, start + begin, tokens.memory, source, plain(end - begin))
        if not isinstance(self.margin, int) or self.margin:
            border = np.frombuffer(self.border, np.uint8)
            spread(to, at, border, 0, self.margin)
            spread(to, start + self.edges[-1], border, 0, self.margin)


def _measured(
    line: SetLine,
    tokens: Sequence[Tokens],
    ids: Sequence[Index | int],
    bad: Flags,
    empty: Flags | bool,
) -> SetColumns:
    edges: list[Index | int] = [0]
    for each, numbers in zip(tokens, ids, strict=True):
        edges.append(plain(edges[-1] + each.sizes(numbers)))
    limit = plain(np.maximum(edges[-1] - line.setter.trailing * WIDTH, 0))
    edges = [plain(np.minimum(edge, limit)) for edge in edges]
    margin = plain(line.setter.margin * WIDTH * (1 - np.asarray(empty, np.intp)))
    size = plain(edges[-1] + 2 * np.asarray(margin))
    return SetColumns(tokens, ids, edges, margin, line.border, size, bad)


def plain(size: object) -> Index | int:
    """A number where all rows have the same."""
    sizes = np.asarray(size, np.intp)
    if sizes.ndim == 0:
        return int(sizes)
    return int(sizes[0]) if sizes[0] == sizes[-1] and (sizes == sizes[0]).all() else sizes


def indent(align: Align, spare: Index | int) -> Index | int:
    """Empty bytes before a line, as `rasterc.layout.arrange` has it."""
    strokes = np.asarray(spare) // WIDTH
    before = {Align.LEFT: strokes * 0, Align.CENTER: strokes // 2, Align.RIGHT: strokes}[align]
    return plain(before * WIDTH)

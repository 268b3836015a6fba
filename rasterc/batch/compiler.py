"""Rows of values to blocks of texts and strokes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from rasterc.batch.block import Block, Refused, woven
from rasterc.batch.columns import Column, faulty, of_texts
from rasterc.batch.placing import PlacedBlock, placed_blocks
from rasterc.batch.rows import Rows
from rasterc.batch.setting import WIDTH, SetColumns, indent, plain
from rasterc.batch.spread import Bytes, Ragged, offsets_of, spread
from rasterc.batch.texts import Writer, Written
from rasterc.diagnostics import InputError
from rasterc.domain.codes import Index
from rasterc.fonts.model import Font
from rasterc.layout import Composer, compile_strokes, lay_out, orient
from rasterc.layout.model import MAX_STROKES, Strokes
from rasterc.profile.model import LineProfile
from rasterc.values import Plan, ResolvedMessage
from rasterc.values.dates.offsets import Flags

_FREED = 31 << 20
"""Bytes that are taken and given back at the start: the C library of Linux then keeps for the next
block what one block frees, where it would hand it back page by page (mallopt(3): the thresholds of
M_MMAP_THRESHOLD and M_TRIM_THRESHOLD follow the largest piece freed, up to 32 MiB). Elsewhere it
does nothing."""

Sized = tuple[PlacedBlock, list[SetColumns], Index | int]


@dataclass(slots=True)
class Compiler:
    """Compiles rows of one message; keeps what is the same from block to block.

    Not for use by two threads at once.
    """

    plan: Plan
    fonts: Mapping[str, Font]
    composer: Composer
    profile: LineProfile | None = None
    _writer: Writer = field(init=False)
    _blocks: tuple[PlacedBlock, ...] | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        np.empty(_FREED, np.uint8)  # see there
        self._writer = Writer(self.plan)
        if self.plan.cases is None:  # else each row is one of a plan of its own
            self._blocks = placed_blocks(self.plan, self.fonts, self.composer)

    def block(self, rows: Rows) -> Block:
        """The texts and strokes of rows; those that cannot be printed are told as refused."""
        bad, made = np.ones(len(rows), np.bool_), None
        if self._blocks is not None and len(rows):
            with suppress(InputError):  # a zone that is odd at one of the moments
                bad, made = self._fast(rows, self._blocks)
        if made is not None:
            return made
        good = np.flatnonzero(~bad)
        rest = self.one_by_one(rows.take(np.flatnonzero(bad)))
        return woven(self.block(rows.take(good)), rest) if len(good) else rest

    def _fast(self, rows: Rows, blocks: Sequence[PlacedBlock]) -> tuple[Flags, Block | None]:
        """The rows that columns cannot tell; and the block when there are none."""
        written = self._writer.of(rows)
        words = [[written.line(line.pieces) for line in block.plans] for block in blocks]
        bad = written.unusable() | faulty((c for b in words for line in b for c in line), len(rows))
        if bad.any():
            return bad, None
        sized = [
            _sized(block, lines, len(rows)) for block, lines in zip(blocks, words, strict=True)
        ]
        size = _total(sized)
        bad |= np.asarray(size) > MAX_STROKES * WIDTH
        for _, lines, _ in sized:
            for line in lines:
                bad |= line.bad
        if bad.any():
            return bad, None
        strokes = self._turned(_laid(sized, size, len(rows)))
        texts = tuple(tuple(columns) for block in words for columns in block)
        return bad, Block(rows, self._inputs(written), texts, strokes)

    def _inputs(self, written: Written) -> dict[str, Column]:
        """The inputs that are told or have a default."""
        return {name: written.input(name) for name in self._told(written.rows)}

    def _told(self, rows: Rows) -> list[str]:
        rules = self.plan.inputs.items()
        return [n for n, r in rules if n in rows.inputs or r.input.default is not None]

    def one_by_one(self, rows: Rows) -> Block:
        """The same by resolving and laying out each row by itself."""
        done: list[tuple[int, ResolvedMessage, Strokes]] = []
        refused: list[Refused] = []
        for place in range(len(rows)):
            try:
                done.append((place, *self._exact(rows, place)))
            except InputError as error:
                line = 0 if rows.lines is None else int(rows.lines[place])
                refused.append(Refused(int(rows.numbers[place]), error.diagnostics, line))
        return self._block_of(rows, done, tuple(refused))

    def _exact(self, rows: Rows, place: int) -> tuple[ResolvedMessage, Strokes]:
        resolved = self.plan.resolve(rows.instant(place))
        strokes = compile_strokes(lay_out(resolved, self.fonts, self.composer))
        if self.profile is None:
            return resolved, strokes
        line = self.profile.line
        return resolved, orient(strokes, line.upside_down, line.mirrored)

    def _block_of(
        self,
        rows: Rows,
        done: Sequence[tuple[int, ResolvedMessage, Strokes]],
        refused: tuple[Refused, ...],
    ) -> Block:
        texts = [resolved.lines for _, resolved, _ in done]
        words = tuple(
            (of_texts([text[line] for text in texts]),)
            for line in range(len(self.plan.message.lines))
        )
        inputs = [resolved.instant.inputs for _, resolved, _ in done]
        columns = {n: of_texts([each.get(n, "") for each in inputs]) for n in self._told(rows)}
        lengths = np.array([len(strokes) for _, _, strokes in done], np.intp)
        bits = [bit for _, _, strokes in done for bit in strokes.bits]
        flat = Ragged(offsets_of(lengths, len(done)), np.array(bits, "<u2"))
        kept = rows.take(np.array([place for place, _, _ in done], np.intp))
        return Block(kept, columns, words, flat, refused, len(done))

    def _turned(self, strokes: Ragged) -> Ragged:
        """Strokes as thrown, see `rasterc.layout.strokes.orient`."""
        line = None if self.profile is None else self.profile.line
        if line is None or not (line.upside_down or line.mirrored):
            return strokes
        data = strokes.data
        if line.upside_down != line.mirrored:
            ends = strokes.offsets[:-1] + strokes.offsets[1:] - 1
            data = data[np.repeat(ends, strokes.lengths) - np.arange(len(data))]
        if line.upside_down:
            data = _reversed_rows(self.plan.message.raster)[data]
        return Ragged(strokes.offsets, data)


def _reversed_rows(raster: int) -> NDArray[np.uint16]:
    strokes = np.arange(1 << raster, dtype="<u2")
    turned = np.zeros_like(strokes)
    for row in range(raster):
        turned |= (strokes >> row & 1) << (raster - 1 - row)
    return turned


def _sized(block: PlacedBlock, words: Sequence[Sequence[Column]], rows: int) -> Sized:
    """The lines of a block set, and the block's width in bytes."""
    lines = [line.set(columns, rows) for line, columns in zip(block.lines, words, strict=True)]
    if block.picture is not None:
        return block, lines, len(block.picture)
    width: Index | int = 0
    for line in lines:
        width = plain(np.maximum(width, line.size))
    return block, lines, width


def _total(sized: Sequence[Sized]) -> Index | int:
    return plain(sum(block.gap * WIDTH + np.asarray(width) for block, _, width in sized))


def _laid(sized: Sequence[Sized], size: Index | int, rows: int) -> Ragged:
    """The strokes of all rows: lines that stand above each other are laid apart, then joined."""
    offsets = offsets_of(size, rows)
    count = max((len(block.lines) or 1 for block, _, _ in sized), default=1)
    layers = [np.zeros(int(offsets[-1]), np.uint8) for _ in range(count)]
    at = offsets[:-1]
    for block, lines, width in sized:
        at = at + block.gap * WIDTH
        _lay(block, lines, width, layers, at)
        at = at + width
    strokes = reduce(np.bitwise_or, [layer.view("<u2") for layer in layers])
    return Ragged(offsets // WIDTH, strokes)


def _lay(
    block: PlacedBlock,
    lines: Sequence[SetColumns],
    width: Index | int,
    layers: list[Bytes],
    at: Index,
) -> None:
    if block.picture is not None:
        spread(layers[0], at, block.picture, 0, len(block.picture))
    for line, layer, style in zip(lines, layers, block.lines, strict=False):
        line.lay(layer, at + indent(style.line.align, width - line.size))

"""What of a message's layout is the same in every row: styles, rows, pictures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.batch.setting import SetLine
from rasterc.batch.spread import Bytes
from rasterc.diagnostics import InputError
from rasterc.fonts.model import Font
from rasterc.layout import Composer
from rasterc.layout.model import MAX_RASTER
from rasterc.layout.rows import Kind, Slab, faults, place
from rasterc.source.message import Picture
from rasterc.values import Plan
from rasterc.values.plan import BlockPlan, LinePlan


@dataclass(frozen=True, slots=True, eq=False)
class PlacedBlock:
    """A block of a message on its raster rows.

    Attributes:
        gap: empty strokes before it.
        plans, lines: its lines, none of a picture.
        picture: its strokes.
    """

    gap: int
    plans: tuple[LinePlan, ...] = ()
    lines: tuple[SetLine, ...] = ()
    picture: Bytes | None = None


def placed_blocks(
    plan: Plan, fonts: Mapping[str, Font], composer: Composer
) -> tuple[PlacedBlock, ...] | None:
    """The blocks of a plan; None when its layout has faults, which each row would tell."""
    try:
        return tuple(_placed(block, plan, fonts, composer) for block in plan.blocks)
    except (InputError, KeyError):
        return None


def _placed(
    block: BlockPlan, plan: Plan, fonts: Mapping[str, Font], composer: Composer
) -> PlacedBlock:
    if isinstance(block.content, Picture):
        return _picture(block.content, block, plan, composer)
    setters = [composer.setter(fonts[line.line.font], line.line) for line in block.content]
    slabs = [
        Slab(setter.rows, each.line.row, "", _kind(each), each.line.font, each.line.span)
        for setter, each in zip(setters, block.content, strict=True)
    ]
    rows = _rows(slabs, block, plan, fonts)
    lines = zip(block.content, setters, rows, strict=True)
    made = tuple(SetLine(each.line, fonts[each.line.font], s, row) for each, s, row in lines)
    if any(line.font.height > MAX_RASTER for line in made):
        raise KeyError
    return PlacedBlock(block.block.gap, block.content, made)


def _kind(line: LinePlan) -> Kind:
    return Kind.INVERSE if line.line.inverse else Kind.TOWER if line.line.tower else Kind.TEXT


def _rows(
    slabs: Sequence[Slab], block: BlockPlan, plan: Plan, fonts: Mapping[str, Font]
) -> tuple[int, ...]:
    raster = plan.message.raster
    if found := faults(slabs, raster, block.block.span, fonts):
        raise InputError(found)
    return place(slabs, raster)


def _picture(picture: Picture, block: BlockPlan, plan: Plan, composer: Composer) -> PlacedBlock:
    columns, rows = composer.picture(picture, plan.message.folder)
    slab = Slab(rows, picture.row, "", Kind.PICTURE, picture.path, picture.span)
    [row] = _rows([slab], block, plan, {})
    full = (1 << rows) - 1 if picture.inverse else 0
    strokes = np.array([(full ^ column) << row for column in columns], "<u2")
    return PlacedBlock(block.block.gap, picture=strokes.view(np.uint8))

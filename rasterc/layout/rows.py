"""The rows on which the lines of a block stand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import StrEnum

from msgspec import Struct, structs

from rasterc.diagnostics import Diagnostic, Span
from rasterc.fonts.model import Font
from rasterc.layout.model import MAX_RASTER
from rasterc.source.message import Stand


class Kind(StrEnum):
    """What is placed on rows."""

    TEXT = "font"
    INVERSE = "border and font"
    TOWER = "tower of font"
    PICTURE = "picture"


class Slab(Struct, frozen=True):
    """What has to be placed.

    Attributes:
        rows: its height.
        row: the row asked for, None for any.
        label: its name within the block ("line 2").
        kind: what makes it as high as it is.
        name: the name of that font or picture.
        span: where it is written.
        below: rows of it below its baseline.
    """

    rows: int
    row: int | None
    label: str
    kind: Kind
    name: str
    span: Span
    below: int = 0


def stood(slab: Slab, stand: Stand, baseline: int, raster: int) -> Slab:
    """A slab that is alone in its block, on the row on which it stands.

    ``baseline`` is the row of the common baseline.
    """
    match stand:
        case Stand.MIDDLE:
            return structs.replace(slab, row=max(0, raster - slab.rows) // 2)
        case Stand.BASELINE:
            return structs.replace(slab, row=baseline - slab.below)
    return slab


def place(slabs: Sequence[Slab], raster: int) -> tuple[int, ...]:
    """The lowest row of each slab of a block, top to bottom.

    Asked-for rows are kept. Otherwise a single slab stands on row 0; of several the last stands
    on row 0, the first reaches the top of the raster, and the spare rows are shared out between
    them, upper gaps first. The result is only of use when `faults` finds none.
    """
    if any(slab.row is not None for slab in slabs):
        return tuple(slab.row or 0 for slab in slabs)
    if len(slabs) < 2:
        return (0,) * len(slabs)
    gaps = len(slabs) - 1
    share, upper = divmod(max(0, raster - sum(slab.rows for slab in slabs)), gaps)
    rows, top = [], raster
    for index, slab in enumerate(slabs):
        rows.append(top - slab.rows)
        top -= slab.rows + share + (index < upper)
    return tuple(rows)


def faults(
    slabs: Sequence[Slab], raster: int, span: Span, fonts: Mapping[str, Font]
) -> list[Diagnostic]:
    """Everything that keeps the slabs of a block (written at ``span``) from being placed."""
    asked = [slab for slab in slabs if slab.row is not None]
    if not asked and len(slabs) > 1:
        return _stack_faults(slabs, raster, span)
    unasked = [slab for slab in slabs if slab.row is None]
    found = [_row_missing(slab) for slab in unasked if asked]
    for slab in asked or unasked:
        if (slab.row or 0) + slab.rows > raster:
            found.append(_above_raster(slab, raster, fonts))
    return found + _overlaps(asked, raster)


def _stack_faults(slabs: Sequence[Slab], raster: int, span: Span) -> list[Diagnostic]:
    needed = sum(slab.rows for slab in slabs)
    if needed <= raster:
        return []
    heights = " + ".join(str(slab.rows) for slab in slabs)
    each = raster // len(slabs)
    remedies = [
        f"use raster {needed}" if needed <= MAX_RASTER else "",
        f"fonts of {each} rows or fewer" if each >= 1 else "",
        "put lines into a block of their own, side by side",
    ]
    return [
        Diagnostic(
            "rows-too-few",
            f"the {len(slabs)} lines of this block need {heights} = {needed} rows, "
            f"the raster has {raster}",
            span,
            ", or ".join(remedy for remedy in remedies if remedy),
        )
    ]


def _above_raster(slab: Slab, raster: int, fonts: Mapping[str, Font]) -> Diagnostic:
    row = slab.row or 0
    needed = row + slab.rows
    remedies = []
    if slab.rows <= raster:
        remedies.append(f"give it row {raster - slab.rows} or lower")
    if needed <= MAX_RASTER:
        remedies.append(f"use raster {needed} or higher")
    if slab.rows > raster:
        remedies.append(_lower(slab, raster - row if row < raster else raster, fonts))
    return Diagnostic(
        "above-raster",
        f'{slab.label} is {slab.rows} rows high ({slab.kind} "{slab.name}") and reaches '
        f"row {needed - 1}; the raster has {_rows(0, raster)}",
        slab.span,
        ", or ".join(remedies),
    )


def _lower(slab: Slab, room: int, fonts: Mapping[str, Font]) -> str:
    """What would take no more than ``room`` rows."""
    if slab.kind is Kind.PICTURE:
        return f"scale the picture to {_count(room)} or fewer"
    if slab.kind is Kind.TOWER:
        return f"use a font no wider than {room} strokes"
    if slab.kind is Kind.INVERSE:
        room -= 2
        if room < 1:
            return "do without inverse"
    low = sorted(name for name, font in fonts.items() if font.height <= room)
    named = f" ({', '.join(low)})" if low else ""
    return f"use a font of {_count(room)} or fewer{named}"


def _row_missing(slab: Slab) -> Diagnostic:
    return Diagnostic(
        "row-missing",
        f"{slab.label} has no row, but other lines of its block have one",
        slab.span,
        "give a row to every line of the block, or to none",
    )


def _overlaps(slabs: Sequence[Slab], raster: int) -> list[Diagnostic]:
    found = []
    for index, first in enumerate(slabs):
        for second in slabs[index + 1 :]:
            upper, lower = sorted((first, second), key=lambda slab: -(slab.row or 0))
            upper_row, lower_row = upper.row or 0, lower.row or 0
            top = min(upper_row + upper.rows, lower_row + lower.rows)
            if top > upper_row:
                shared = _rows(upper_row, top)
                found.append(_overlap(upper, lower, shared, raster, second.span))
    return found


def _overlap(upper: Slab, lower: Slab, shared: str, raster: int, span: Span) -> Diagnostic:
    upper_row, lower_row = upper.row or 0, lower.row or 0
    remedies = []
    if lower_row + lower.rows + upper.rows <= raster:
        remedies.append(f"give {upper.label} row {lower_row + lower.rows}")
    if upper_row >= lower.rows:
        remedies.append(f"give {lower.label} row {upper_row - lower.rows} or lower")
    needed = upper.rows + lower.rows
    if not remedies:
        remedies.append(f"both together need {needed} rows: use lower fonts or a higher raster")
    return Diagnostic(
        "lines-overlap",
        f"{upper.label} ({_rows(upper_row, upper_row + upper.rows)}) and {lower.label} "
        f"({_rows(lower_row, lower_row + lower.rows)}) of this block overlap on {shared}",
        span,
        ", or ".join(remedies),
    )


def _rows(first: int, end: int) -> str:
    return f"row {first}" if end - first == 1 else f"rows {first} to {end - 1}"


def _count(rows: int) -> str:
    return "1 row" if rows == 1 else f"{rows} rows"

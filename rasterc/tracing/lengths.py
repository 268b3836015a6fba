"""The largest change in length between two versions of a message, exactly, with its moment.

A length is a sum over the atoms of a line: one part goes by the cell, the other by the minute of
the UTC day. Both take few values, so all pairs are measured and the largest that occurs is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.domain.timeline import Timeline, Which
from rasterc.tracing.columns import Column, Columns, Measure
from rasterc.tracing.compare import Version
from rasterc.tracing.given import ByBoth
from rasterc.tracing.terms import ByCell, ByMinute, Fixed, worked_out
from rasterc.values.dates.offsets import Flags, Minutes
from rasterc.values.dates.shifts import MINUTES_PER_DAY

Change = Callable[[Minutes], Minutes]
"""From lengths of all lines, on the last axis, to the change in length."""


@dataclass(frozen=True, slots=True)
class Longest:
    """The largest change and the first minute of UTC at which it occurs."""

    change: int
    minute: int


@dataclass(frozen=True, slots=True, eq=False)
class Moving:
    """The part of a line's length that goes by the minute of the UTC day.

    Attributes:
        number: of the line.
        which: which of the ``sizes`` each cell has.
        sizes: shape (kinds, 1440).
    """

    number: int
    which: Which
    sizes: Minutes


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """The lengths of some lines: the part that goes by the cell, shape (cells, lines), and the
    parts that go by the minute."""

    base: Minutes
    moving: tuple[Moving, ...]


def measured(versions: Sequence[tuple[Version, Measure]], cells: int, columns: Columns) -> Measured:
    """The lengths of lines, each with its own measure of a text."""
    base = np.zeros((cells, len(versions)), np.int64)
    moving: list[Moving] = []
    for number, (version, measure) in enumerate(versions):
        for atom in version.atoms:
            match atom:
                case Fixed(text):
                    base[:, number] += measure(text)
                case ByCell(texts):
                    sizes = np.array([*map(measure, texts.texts), 0], np.int64)
                    base[:, number] += sizes[texts.which]
                case ByBoth() if atom.size is not None:
                    base[:, number] += _typical(atom, measure)
                case ByMinute() | ByBoth():
                    which, kinds = _by_minute(Version((atom,), version.shifts), measure, columns)
                    moving.append(Moving(number, which, kinds))
    return Measured(base, tuple(moving))


def _typical(atom: ByBoth, measure: Measure) -> int:
    """The length of check characters: there are always as many, and about as wide."""
    codes = [int(leaf.texts.which.max()) for leaf in atom.leaves]
    return measure(worked_out(atom.leaves, codes, atom.compute) or "")


def _by_minute(version: Version, measure: Measure, columns: Columns) -> tuple[Which, Minutes]:
    """The lengths of a version's one atom by the minute: which of them each cell has, and each."""
    keys = np.stack(list(version.keys()), axis=1)
    _, first, which = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    [atom] = version.atoms
    parts = (columns.part(atom, version.shifts, int(cell)) for cell in first)
    sizes = [p.measured(measure) if isinstance(p, Column) else _NOTHING for p in parts]
    kinds, kind = np.unique(np.stack(sizes), axis=0, return_inverse=True)
    return kind.reshape(-1)[which.reshape(-1)], kinds


_NOTHING = np.zeros(MINUTES_PER_DAY, np.int64)


def longest(
    lengths: Measured, change: Change, fails: Sequence[Flags], which: Which, line: Timeline
) -> Longest:
    """The largest change in either direction, the first of several.

    Minutes of the UTC day in ``fails[which[cell]]``, at which a version has no text, do not count.
    """
    best = Longest(0, int(line.starts[0]))
    for cells in _groups(lengths, fails, which):
        moving = np.zeros((MINUTES_PER_DAY, lengths.base.shape[1]), np.int64)
        for part in lengths.moving:
            moving[:, part.number] += part.sizes[part.which[cells[0]]]
        usable = ~fails[which[cells[0]]]
        found = _in_group(lengths.base[cells], moving, change, usable, cells, line)
        if (abs(found.change), -found.minute) > (abs(best.change), -best.minute):
            best = found
    return best


def _groups(lengths: Measured, fails: Sequence[Flags], which: Which) -> Iterator[Which]:
    """Cells in which the lengths go by the minute in the same way."""
    kinds = {mask.tobytes(): i for i, mask in enumerate(fails)}
    kind = np.array([kinds[mask.tobytes()] for mask in fails])[which]
    keys = np.stack([kind, *(part.which for part in lengths.moving)], axis=1)
    _, group = np.unique(keys, axis=0, return_inverse=True)
    for number in range(int(group.max()) + 1):
        yield np.flatnonzero(group.reshape(-1) == number)


def _in_group(
    base: Minutes, moving: Minutes, change: Change, usable: Flags, cells: Which, line: Timeline
) -> Longest:
    rows, cell_row = np.unique(base, axis=0, return_inverse=True)
    kinds, minute_kind = np.unique(moving, axis=0, return_inverse=True)
    changes = change(rows[:, None, :] + kinds[None, :, :])
    for size in np.unique(np.abs(changes))[::-1].tolist():
        pairs = np.argwhere(np.abs(changes) == size)
        moments = [
            (minute, int(changes[row, kind]))
            for row, kind in pairs.tolist()
            for minute in _first(
                cells[cell_row.reshape(-1) == row], usable & (minute_kind.reshape(-1) == kind), line
            )
        ]
        if moments:
            minute, amount = min(moments)
            return Longest(amount, minute)
    return Longest(0, int(line.starts[0]))


def _first(cells: Which, minutes: Flags, line: Timeline) -> Iterator[int]:
    """The first minute of some cells that is one of the ``minutes`` of the UTC day."""
    upto = np.concatenate([[0], np.cumsum(np.tile(minutes, 2))])
    start = line.starts[cells] % MINUTES_PER_DAY
    span = np.minimum(line.lengths[cells], MINUTES_PER_DAY)
    holding = cells[upto[start + span] > upto[start]]
    if len(holding):
        begin = int(line.starts[holding[0]])
        after = np.roll(minutes, -(begin % MINUTES_PER_DAY))
        yield begin + int(np.argmax(after))

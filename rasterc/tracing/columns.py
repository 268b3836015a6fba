"""Texts by the minute of the UTC day, in one cell of a timeline."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.timeline import Timeline, Which
from rasterc.tracing.given import Atom, ByBoth
from rasterc.tracing.terms import ByCell, ByMinute, Fixed, Texts, worked_out
from rasterc.values.dates.offsets import Flags, Minutes
from rasterc.values.dates.shifts import MINUTES_PER_DAY

Points = NDArray[np.uint32]
"""Unicode code points."""

Spelled = tuple[Sequence[str], Which]
"""Distinct texts, and which of them each minute has, -1 for none."""

Measure = Callable[[str], int]

MAX_WORKED_OUT = 300_000  # texts that go by both day and minute

NEVER: Flags = np.zeros(MINUTES_PER_DAY, np.bool_)
ALWAYS: Flags = np.ones(MINUTES_PER_DAY, np.bool_)
NEVER.flags.writeable = ALWAYS.flags.writeable = False


class Shifts:
    """For each clock of a timeline, its wall time less UTC in each cell, modulo a day."""

    def __init__(self, line: Timeline | None = None) -> None:
        clocks = line.clocks if line is not None else {}
        self._of = {
            name: (track.wall - track.starts) % MINUTES_PER_DAY
            for name, track in clocks.items()
            if track.runs
        }

    def of(self, clock: str) -> Minutes:
        """Minutes to add to a minute of the UTC day, by cell."""
        return self._of[clock]


class Column:
    """A text for each minute of the UTC day.

    Attributes:
        lengths: characters, shape (1440,).
        fails: the minutes that have no text.
    """

    def __init__(self, lengths: Minutes, fails: Flags, spell: Callable[[], Spelled]) -> None:
        self.lengths = lengths
        self.fails = fails
        self._spell = spell

    @cached_property
    def even(self) -> bool:
        """Whether all texts have the same length."""
        return bool((self.lengths == self.lengths[0]).all())

    @cached_property
    def spelled(self) -> Spelled:
        """The texts, made on demand."""
        return self._spell()

    @cached_property
    def places(self) -> Points:
        """The code points, shape (longest, 1440), 0 after the end of a text."""
        texts, which = self.spelled
        points = np.zeros((max(map(len, texts), default=0), len(texts) + 1), np.uint32)
        for number, text in enumerate(texts):
            points[: len(text), number] = [ord(char) for char in text]
        return points[:, which]

    def measured(self, measure: Measure) -> Minutes:
        """Each text measured, 0 where there is none; shape (1440,)."""
        texts, which = self.spelled
        return np.array([*map(measure, texts), 0], np.int64)[which]


Part = str | Column


class Columns:
    """Makes the parts of a cell. Equal ones are one object, as far as is easily seen.

    ``exact`` turns False when there was too much to work out: such texts are then taken as equal.
    """

    def __init__(self) -> None:
        self.exact = True
        self._known: dict[object, Column] = {}
        self._rows: dict[object, tuple[list[tuple[int, ...]], Which]] = {}
        self._count = 0

    def part(self, atom: Atom, shifts: Shifts, cell: int) -> Part | None:
        """An atom's text in a cell; None when it has none at any minute."""
        match atom:
            case Fixed(text):
                return text
            case ByCell(texts):
                code = texts.which[cell]
                return None if code < 0 else texts.texts[code]
            case ByMinute(texts, clock):
                return self._shifted(texts, int(shifts.of(clock)[cell]))
            case ByBoth():
                return self._both(atom, shifts, cell)

    def _shifted(self, texts: Texts, shift: int) -> Column:
        known = (id(texts), shift)
        if known not in self._known:
            which = np.roll(texts.which, -shift)
            column = _column(texts.texts, which)
            key = (texts.texts, which.tobytes())
            self._known[known] = self._known.setdefault(key, column)
        return self._known[known]

    def _both(self, atom: ByBoth, shifts: Shifts, cell: int) -> Column | None:
        leaves = [self.part(leaf, shifts, cell) for leaf in atom.leaves]
        if any(leaf is None for leaf in leaves):
            return None
        key = ("both", atom.key, *(p if isinstance(p, str) else id(p) for p in leaves))
        if key not in self._known:
            self._known[key] = self._made(atom, shifts, cell)
        return self._known[key]

    def _made(self, atom: ByBoth, shifts: Shifts, cell: int) -> Column:
        if atom.size is None:
            return self._spelled(atom, shifts, cell)
        lengths = np.full(MINUTES_PER_DAY, atom.size, np.int64)
        return Column(lengths, NEVER, lambda: self._spelled(atom, shifts, cell).spelled)

    def _spelled(self, atom: ByBoth, shifts: Shifts, cell: int) -> Column:
        rows, which = self._minutes(atom, shifts, cell)
        self._count += len(rows)
        if self._count > MAX_WORKED_OUT:
            self.exact = False
            size = atom.size or 0
            return _column(["?" * size], np.zeros(MINUTES_PER_DAY, np.intp))
        by_cell = [int(leaf.texts.which[cell]) for leaf in atom.leaves if isinstance(leaf, ByCell)]
        texts: list[str | None] = []
        for row in rows:
            days, minutes = iter(by_cell), iter(row)
            codes = [next(days if isinstance(leaf, ByCell) else minutes) for leaf in atom.leaves]
            texts.append(worked_out(atom.leaves, codes, atom.compute))
        numbers = np.array([-1 if text is None else i for i, text in enumerate(texts)])
        return _column([text or "" for text in texts], numbers[which])

    def _minutes(
        self, atom: ByBoth, shifts: Shifts, cell: int
    ) -> tuple[list[tuple[int, ...]], Which]:
        """The distinct codes of an atom's leaves that go by the minute, and which are where."""
        leaves = [leaf for leaf in atom.leaves if isinstance(leaf, ByMinute)]
        moved = [int(shifts.of(leaf.clock)[cell]) for leaf in leaves]
        key = (*(id(leaf.texts) for leaf in leaves), *moved)
        if key not in self._rows:
            pairs = zip(leaves, moved, strict=True)
            codes = np.stack([np.roll(leaf.texts.which, -by) for leaf, by in pairs], axis=1)
            rows, which = np.unique(codes, axis=0, return_inverse=True)
            self._rows[key] = [tuple(row) for row in rows.tolist()], which.reshape(-1)
        return self._rows[key]


def _column(texts: Sequence[str], which: Which) -> Column:
    lengths = np.array([*map(len, texts), 0], np.int64)[which]
    return Column(lengths, which < 0, lambda: (texts, which))

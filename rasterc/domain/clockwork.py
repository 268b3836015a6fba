"""Everything that depends on the minute: which texts the clock atoms print, and when.

An atom is read *by the cell* when it stays the same within each cell (dates, shifts), or *by the
minute* when it changes with a running wall time. Cells of one *type* have the same wall times and
length, so what is read by the minute is worked out once for each type. What cells of a type print
is then every combination of a cell with a minute of the type.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from rasterc.domain.atoms import PART, Feature, Varying, Whole, features_of
from rasterc.domain.calendar import FEATURES
from rasterc.domain.codes import Index, firsts
from rasterc.domain.printer import Fault, Goes, Printed, Printer
from rasterc.domain.timeline import Timeline, Tracks
from rasterc.values import Plan
from rasterc.values.dates.shifts import MINUTES_PER_DAY
from rasterc.values.fields.kinds import ClockTable, ClockText

MAX_CELLS = 1_200_000  # the hours of 120 years, and some
MAX_WORKED_OUT = 300_000  # cells of which a text of several fields is worked out, in some seconds


@dataclass(slots=True)
class CellType:
    """Cells whose running clocks show the same wall times.

    ``first`` is the minute of the day of each running clock that matters, at the cell's start.
    """

    length: int
    cells: Index
    first: dict[str, int]


class TooManyCellsError(Exception):
    """An atom mixes dates and minutes so that too many cells would be needed."""

    def __init__(self, atom: Varying) -> None:
        super().__init__(atom)
        self.atom = atom


@dataclass(slots=True)
class Clockwork:
    """What the clock atoms of a message print over the cells of a timeline."""

    tracks: Tracks
    timeline: Timeline
    by_cell: list[Printed] = field(default_factory=list)
    by_minute: list[Printed] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    _types: list[CellType] | None = None

    @property
    def types(self) -> list[CellType]:
        """The types of cells, by first occurrence."""
        if self._types is None:
            self._types = self._find_types()
        return self._types

    def _find_types(self) -> list[CellType]:
        names = sorted({f.of for printed in self.by_minute for f in features_of(printed.atom)})
        line = self.timeline
        if not names:
            return [CellType(1, np.arange(len(line)), {})]
        code = firsts(line.lengths)[1]
        for name in names:
            minute = line.clocks[name].wall % MINUTES_PER_DAY
            code = firsts(code * MINUTES_PER_DAY + minute)[1]
        groups = [np.flatnonzero(code == kind) for kind in range(int(code.max()) + 1)]
        groups.sort(key=lambda cells: int(cells[0]))
        return [
            CellType(
                int(line.lengths[cells[0]]),
                cells,
                {n: int(line.clocks[n].wall[cells[0]]) % MINUTES_PER_DAY for n in names},
            )
            for cells in groups
        ]


def clockwork(
    plan: Plan,
    first: int,
    end: int,
    atoms: Sequence[Varying],
    also: Iterable[str] = (),
    still: Collection[Varying] = (),
) -> Clockwork:
    """The clockwork of atoms that depend on the minute alone, for minutes ``first`` to ``end``.

    ``also`` names clocks and shifts that cells are cut for though no atom reads them; atoms in
    ``still`` are read by the cell, which is cut wherever they change.

    Raises:
        TooManyCellsError: an atom mixes dates and minutes.
        InputError: a clock leaves the years 1 to 9999.
    """
    features = [feature for atom in atoms for feature in features_of(atom)]
    tracks = Tracks(plan, first, end, _timed(features))
    names = dict.fromkeys([*also, *(feature.of for feature in features)])
    shifts = [name for name in names if name in plan.schedules]
    clocks = [name for name in names if name not in plan.schedules]
    for name in (*clocks, *(plan.schedules[shift].shift.clock for shift in shifts)):
        tracks.sound(name)
    printer = Printer(plan, tracks.line(clocks, shifts))
    by_minute = [atom for atom in atoms if atom not in still and _is_by_minute(printer, atom)]
    by_cell = [atom for atom in atoms if atom not in by_minute]
    for atom in by_cell:
        _cut_for(printer, atom)
    times = [printer.by_minute(atom).filled() for atom in by_minute]
    dates = [printer.by_cell(atom).filled() for atom in by_cell]
    return Clockwork(tracks, printer.timeline, dates, times, printer.faults)


def _timed(features: Sequence[Feature]) -> set[str]:
    return {f.of for f in features if f.name not in FEATURES and f.name != PART}


def _is_worked_out(atom: Varying) -> bool:
    """Whether several fields make an atom together."""
    return isinstance(atom, Whole) and not isinstance(atom.field.source, ClockText | ClockTable)


def _is_by_minute(printer: Printer, atom: Varying) -> bool:
    return not _is_worked_out(atom) and all(
        printer.goes_by(feature) is Goes.MINUTE for feature in features_of(atom)
    )


def _cut_for(printer: Printer, atom: Varying) -> None:
    """Cut the cells so that an atom stays the same in each."""
    for feature in features_of(atom):
        if printer.goes_by(feature) is Goes.MINUTE:
            line = printer.timeline
            minutes = feature.divided if feature.name in ("time", "minute") else 60
            most = MAX_WORKED_OUT if _is_worked_out(atom) else MAX_CELLS
            if int(line.lengths.sum()) // minutes + len(line) > most:
                raise TooManyCellsError(atom)
            printer.timeline = line.cut_every(feature.of, minutes)

"""Everything that depends on the minute: which texts the clock atoms print, and when.

An atom is read *by the cell* when it stays the same within each cell (dates, shifts), or *by the
minute* when it changes with a running wall time. Cells of one *type* have the same wall times and
length, so what is read by the minute is worked out once for each type. What cells of a type print
is then every combination of a cell with a minute of the type.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.domain.calendar import FEATURES, TIMES, Days, date_of
from rasterc.domain.timeline import Timeline, Tracks
from rasterc.extremes.atoms import PART, Feature, Letter, Varying, Whole
from rasterc.values import Instant, Plan
from rasterc.values.dates.clocks import ClockValue
from rasterc.values.dates.offsets import Minutes, moment_of, wall_of
from rasterc.values.dates.shifts import MINUTES_PER_DAY
from rasterc.values.fields.kinds import ClockTable, ClockText
from rasterc.values.given.tables import by_time

MAX_CELLS = 1_000_000

Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Fault:
    """A moment (UTC minute) at which an atom has no text, and why."""

    minute: int
    diagnostic: Diagnostic


@dataclass(slots=True)
class Printed:
    """The texts of an atom and which of them it prints: by cell, or by minute of the day."""

    atom: Varying
    texts: tuple[str, ...]
    ids: Index


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
    _dates: dict[str, tuple[int, Days]] = field(default_factory=dict)

    @property
    def plan(self) -> Plan:
        """The message."""
        return self.tracks.plan

    @property
    def types(self) -> list[CellType]:
        """The types of cells, by first occurrence."""
        if self._types is None:
            self._types = self._find_types()
        return self._types

    def value(self, name: str, cell: int) -> ClockValue:
        """What a clock shows at the start of a cell; its wall time is naive."""
        reading = self.timeline.clocks[name]
        return ClockValue(wall_of(int(reading.wall[cell])), date_of(int(reading.day[cell])))

    def features(self, feature: Feature) -> Days:
        """The values of a feature at the start of each cell."""
        if feature.name == PART:
            labels = self.plan.schedules[feature.of].labels
            known = {label: number for number, label in enumerate(dict.fromkeys(labels))}
            numbers = np.array([known[label] for label in labels])
            return numbers[self.timeline.shifts[feature.of].point]
        reading = self.timeline.clocks[feature.of]
        if feature.name in FEATURES:
            return self._of_days(feature.name, reading.day)
        return TIMES[feature.name](reading.wall % MINUTES_PER_DAY) // feature.divided

    def _of_days(self, name: str, days: Days) -> Days:
        first, last = int(days.min()), int(days.max())
        known = self._dates.get(name)
        if known is None or first < known[0] or last >= known[0] + len(known[1]):
            known = first - 400, FEATURES[name](np.arange(first - 400, last + 2000))
            self._dates[name] = known
        values: Days = known[1][days - known[0]]
        return values

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


def features_of(atom: Varying) -> tuple[Feature, ...]:
    """What an atom reads of clocks and shifts."""
    return atom.features if isinstance(atom, Whole) else (atom.feature,)


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
    work = Clockwork(tracks, tracks.line(clocks, shifts))
    by_minute = [atom for atom in atoms if atom not in still and _is_by_minute(work, atom)]
    by_cell = [atom for atom in atoms if atom not in by_minute]
    for atom in by_cell:
        _cut_for(work, atom)
    work.by_minute = [_print_by_minute(work, atom) for atom in by_minute]
    work.by_cell = [_print_by_cell(work, atom) for atom in by_cell]
    return work


def _timed(features: Sequence[Feature]) -> set[str]:
    return {f.of for f in features if f.name not in FEATURES and f.name != PART}


def _runs(work: Clockwork, feature: Feature) -> bool:
    """Whether a feature changes with a running wall time."""
    if feature.name == PART or feature.name in FEATURES:
        return False
    return work.timeline.clocks[feature.of].runs


def _is_by_minute(work: Clockwork, atom: Varying) -> bool:
    features = features_of(atom)
    if isinstance(atom, Whole) and not isinstance(atom.field.source, ClockText | ClockTable):
        return False  # what several fields make together is read by the cell
    return all(_runs(work, feature) for feature in features)


def _cut_for(work: Clockwork, atom: Varying) -> None:
    """Cut the cells so that an atom stays the same in each."""
    for feature in features_of(atom):
        if _runs(work, feature):
            minutes = feature.divided if feature.name in ("time", "minute") else 60
            cells = int(work.timeline.lengths.sum()) // minutes + len(work.timeline)
            if cells > MAX_CELLS:
                raise TooManyCellsError(atom)
            work.timeline = work.timeline.cut_every(feature.of, minutes)


def _print_by_cell(work: Clockwork, atom: Varying) -> Printed:
    code, *more = (work.features(feature) for feature in features_of(atom))
    code = code - code.min()
    for values in more:
        low = int(values.min())
        code = compressed(code * (int(values.max()) - low + 1) + values - low)
    first, which = firsts(code)
    minutes = work.timeline.starts[first]
    render = _renderer(work, atom)
    texts = [_text(work, render, int(c), int(m)) for c, m in zip(first, minutes, strict=True)]
    return _printed(atom, texts, which)


def _renderer(work: Clockwork, atom: Varying) -> Callable[[int], str]:
    """What an atom prints in a cell."""
    if isinstance(atom, Letter):
        return lambda cell: _letter(atom, work.value(atom.clock, cell))
    field, starts = atom.field, work.timeline.starts
    return lambda cell: field.text(work.plan.at(Instant(moment_of(int(starts[cell])))))


def _text(work: Clockwork, render: Callable[[int], str], at: int, minute: int) -> str:
    try:
        return render(at)
    except InputError as error:
        work.faults += [Fault(minute, diagnostic) for diagnostic in error.diagnostics]
        return ""


def _letter(atom: Letter, value: ClockValue) -> str:
    text = atom.part.render(value)
    for option in atom.options:
        text = option.apply(text)
    return text


def _print_by_minute(work: Clockwork, atom: Varying) -> Printed:
    """The texts at each minute of the day; minutes that never come have a text too."""
    minutes = np.arange(MINUTES_PER_DAY)
    code = np.zeros(MINUTES_PER_DAY, dtype=np.int64)
    for feature in features_of(atom):
        code = code * MINUTES_PER_DAY + TIMES[feature.name](minutes) // feature.divided
    first, which = firsts(code)
    texts = [_minute_text(work, atom, int(minute)) for minute in first]
    return _printed(atom, texts, which)


def _minute_text(work: Clockwork, atom: Varying, minute: int) -> str:
    value = ClockValue(wall_of(minute), date_of(0))
    if isinstance(atom, Letter):
        return _letter(atom, value)
    source = atom.field.source
    assert isinstance(source, ClockText | ClockTable)
    try:
        text = _shown(source, value)
        for option in atom.field.options:
            text = option.apply(text)
        return text
    except InputError as error:
        at = _when(work, source.clock, minute)
        if at is not None:
            work.faults += [Fault(at, diagnostic) for diagnostic in error.diagnostics]
        return ""


def _shown(source: ClockText | ClockTable, value: ClockValue) -> str:
    if isinstance(source, ClockText):
        return source.pattern.render(value)
    return by_time(source.table, value.wall, source.span)


def _when(work: Clockwork, clock: str, minute: int) -> int | None:
    """The first moment at which a running clock shows a minute of the day."""
    line = work.timeline
    ahead = (minute - line.clocks[clock].wall) % MINUTES_PER_DAY
    cells = np.flatnonzero(ahead < line.lengths)
    return int(line.starts[cells[0]] + ahead[cells[0]]) if len(cells) else None


def _printed(atom: Varying, texts: Sequence[str], which: Index) -> Printed:
    known = {text: number for number, text in enumerate(dict.fromkeys(texts))}
    ids = np.array([known[text] for text in texts], dtype=np.intp)
    return Printed(atom, tuple(known), ids[which])


def compressed(code: Minutes) -> Minutes:
    """The same distinctions in numbers from 0 up, in the same order, without large ones."""
    if len(code) and int(code.max()) < 1 << 20:
        return code
    return np.unique(code, return_inverse=True)[1].reshape(code.shape).astype(np.int64)


def firsts(code: Minutes) -> tuple[Index, Index]:
    """Where each value of ``code`` (not below 0) comes first, in that order of values; and, for
    each element, which of these values it is."""
    if int(code.max()) < max(1 << 16, 4 * len(code)):
        place = np.full(int(code.max()) + 1, -1, dtype=np.intp)
        place[code[::-1]] = np.arange(len(code) - 1, -1, -1)  # the first comes last, and stays
        values = np.flatnonzero(place >= 0)
        number = np.empty(len(place), dtype=np.intp)
        number[values] = np.arange(len(values))
        return place[values], number[code]
    _, first, which = np.unique(code, return_index=True, return_inverse=True)
    return first, which

"""What may have printed a text: sets of instants, counter values and inputs, one for each way.

`Candidates` are all combinations of a moment out of some cells and times of day, counter values
and inputs: each narrowed on its own, so that nothing is spelled out before the end.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from rasterc.domain.atoms import Variable
from rasterc.domain.chosen import Chosen
from rasterc.domain.templates import Template
from rasterc.domain.timeline import Timeline
from rasterc.values.dates.offsets import Flags, Minutes
from rasterc.values.dates.shifts import MINUTES_PER_DAY

if TYPE_CHECKING:
    from rasterc.values.fields.kinds import FieldPlan

_CHUNK = 500_000  # minutes looked at together


@dataclass(frozen=True, slots=True, eq=False)
class Candidates:
    """All combinations of these moments, counter values and inputs.

    Attributes:
        cells: cells of the timeline, shape (n,).
        minutes: by clock, the minutes of its wall day, shape (1440,); clocks not named: all.
        seconds: the seconds of the minute, shape (60,).
        chosen: the texts of counters and inputs; those not named: any.
        checks: check fields still to be worked out, and what was read of each (None: nothing).
    """

    cells: Flags
    minutes: Mapping[str, Flags] = field(default_factory=dict)
    seconds: Flags = field(default_factory=lambda: np.ones(60, np.bool_))
    chosen: Mapping[Variable, Chosen] = field(default_factory=dict)
    checks: tuple[tuple[FieldPlan, Template | None], ...] = ()

    def in_cells(self, cells: Flags) -> Iterator[Candidates]:
        """Those in these cells, if there are any."""
        left = self.cells & cells
        if left.any():
            yield replace(self, cells=left)

    def at_minutes(self, clock: str, minutes: Flags) -> Iterator[Candidates]:
        """Those at which a clock shows one of these minutes of the day."""
        left = minutes & self.minutes[clock] if clock in self.minutes else minutes
        if left.any():
            yield replace(self, minutes={**self.minutes, clock: left})

    def at_seconds(self, seconds: Flags) -> Iterator[Candidates]:
        """Those in these seconds of the minute."""
        left = self.seconds & seconds
        if left.any():
            yield replace(self, seconds=left)

    def with_words(self, variable: Variable, texts: Chosen) -> Iterator[Candidates]:
        """Those with one of these texts of a counter or an input."""
        left = texts.meet(self.chosen[variable]) if variable in self.chosen else texts
        if not left.is_empty():
            yield replace(self, chosen={**self.chosen, variable: left})

    def with_check(self, check: FieldPlan, read: Template | None) -> Iterator[Candidates]:
        """The same, with a check field to be worked out."""
        yield replace(self, checks=(*self.checks, (check, read)))


def minutes_of(candidates: Candidates, line: Timeline) -> Iterator[Minutes]:
    """The minutes of UTC of the candidates, sorted, in chunks."""
    cells = np.flatnonzero(candidates.cells & _can_hold(candidates, line))
    ends = np.cumsum(line.lengths[cells])
    while len(cells):
        count = max(1, int(np.searchsorted(ends, _CHUNK + (ends[0] - line.lengths[cells[0]]))))
        found = _minutes_in(cells[:count], candidates, line)
        if len(found):
            yield found
        cells, ends = cells[count:], ends[count:]


def _can_hold(candidates: Candidates, line: Timeline) -> Flags:
    """The cells that hold, for each clock on its own, one of its minutes."""
    able = np.ones(len(line.starts), np.bool_)
    for clock, minutes in candidates.minutes.items():
        upto = np.concatenate([[0], np.cumsum(np.tile(minutes, 2))])
        start = line.clocks[clock].wall % MINUTES_PER_DAY
        span = np.minimum(line.lengths, MINUTES_PER_DAY)
        able &= upto[start + span] > upto[start]
    return able


def _minutes_in(cells: Minutes, candidates: Candidates, line: Timeline) -> Minutes:
    cell, minutes = expanded(cells, line)
    keep = np.ones(len(minutes), np.bool_)
    for clock, wanted in candidates.minutes.items():
        track = line.clocks[clock]
        keep &= wanted[((track.wall - line.starts)[cell] + minutes) % MINUTES_PER_DAY]
    return minutes[keep]


def expanded(cells: Minutes, line: Timeline) -> tuple[Minutes, Minutes]:
    """Every minute of some cells: which cell it is in, and the minute of UTC."""
    lengths = line.lengths[cells]
    within = np.arange(lengths.sum()) - np.repeat(np.cumsum(lengths) - lengths, lengths)
    cell = np.repeat(cells, lengths)
    return cell, line.starts[cell] + within


def is_possible(candidates: Candidates, line: Timeline) -> bool:
    """Whether there is a moment among the candidates."""
    if len(candidates.minutes) < 2:
        return bool((candidates.cells & _can_hold(candidates, line)).any())
    return next(minutes_of(candidates, line), None) is not None


def stretches_of(candidates: Candidates, line: Timeline) -> tuple[Minutes, Minutes]:
    """Where the candidates' stretches of minutes begin and end (excluded), sorted, apart."""
    if not candidates.minutes:
        cells = candidates.cells
        return joined(line.starts[cells], line.starts[cells] + line.lengths[cells])
    chunks = [runs(minutes) for minutes in minutes_of(candidates, line)]
    if not chunks:
        return np.zeros(0, np.int64), np.zeros(0, np.int64)
    return joined(np.concatenate([c[0] for c in chunks]), np.concatenate([c[1] for c in chunks]))


def runs(minutes: Minutes) -> tuple[Minutes, Minutes]:
    """Where runs of sorted minutes begin and end (excluded)."""
    return joined(minutes, minutes + 1)


def joined(starts: Minutes, ends: Minutes) -> tuple[Minutes, Minutes]:
    """Stretches, sorted by their start, with those that touch or overlap made one."""
    if not len(starts):
        return starts, ends
    reach = np.maximum.accumulate(ends)
    opens = np.concatenate([[True], starts[1:] > reach[:-1]])
    closes = np.concatenate([opens[1:], [True]])
    return starts[opens], reach[closes]

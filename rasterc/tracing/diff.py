"""What two versions of a message print differently, and when."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from itertools import zip_longest
from zoneinfo import ZoneInfo

import numpy as np

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.domain.horizon import home_zone, stretch
from rasterc.domain.progress import Progress, quiet
from rasterc.domain.timeline import Timeline, Which, timeline
from rasterc.tracing.alike import other_values, same_look
from rasterc.tracing.candidates import expanded, joined
from rasterc.tracing.columns import NEVER, Columns, Shifts
from rasterc.tracing.compare import Compared, Outcome, Version, combined, compared
from rasterc.tracing.declared import declared_changes
from rasterc.tracing.differences import Difference, DiffResult, LongestChange, Side
from rasterc.tracing.given import lines_given
from rasterc.tracing.lengths import Longest, Measured, longest, measured
from rasterc.tracing.row_changes import row_changes
from rasterc.tracing.ruler import Ruler, advance
from rasterc.tracing.terms_of import TermMaker
from rasterc.values.dates.offsets import FIRST_YEAR, Flags, Minutes, moment_of, offsets_between
from rasterc.values.dates.shifts import MINUTES_PER_DAY
from rasterc.values.model import Instant

DEFAULT_YEARS, MAX_YEARS = 10, 100
_CHUNK = 2_000  # cells looked at together


def diff(
    old: Side,
    new: Side,
    start: datetime | None = None,
    years: int = DEFAULT_YEARS,
    progress: Progress = quiet,
) -> DiffResult:
    """Every minute, within some years from ``start``, at which two versions print differently.

    Minutes are looked at in their first second. A naive ``start`` is wall time in the zone of the
    old message's clocks, or of the new one's if the old one reads none.

    Raises:
        InputError: a value given or a default does not suit its version, an input has none, or
            the start or horizon cannot be.
    """
    leading = old if old.plan.clocks_read() else new
    first, end = stretch(leading.plan, start or datetime(FIRST_YEAR, 1, 1), years, MAX_YEARS)
    return diff_between(old, new, first, end, progress)


def diff_between(
    old: Side, new: Side, first: int, end: int, progress: Progress = quiet
) -> DiffResult:
    """The same as `diff`, from minute ``first`` of UTC since 1970 to minute ``end``."""
    messages = old.plan.message, new.plan.message
    old, new = _of_rows(old, new)
    work = _Work(old, new, first, end, progress)
    starts, ends = work.stretches(work.outcomes, work.which)
    zone = work.zone
    return DiffResult(
        zone,
        work.moment(first),
        work.moment(end),
        starts,
        ends,
        int((ends - starts).sum()),
        _days(starts, ends, zone) if zone else 0,
        tuple(work.minutes_of(line) for line in work.by_line),
        work.difference(int(starts[0])) if len(starts) else None,
        work.characters(),
        work.strokes(),
        declared_changes(*messages),
        same_look(old, new),
        work.columns.exact,
        tuple(other_values(*messages)),
        row_changes(*messages),
    )


def _of_rows(old: Side, new: Side) -> tuple[Side, Side]:
    """Both versions with what the rows say that their values pick; raises `InputError` for both."""
    faults: list[Diagnostic] = []
    found: list[Side] = []
    for side in (old, new):
        try:
            plan = side.plan.case(Instant(None, side.given.counters, side.given.inputs))
            found.append(replace(side, plan=plan))
        except InputError as error:
            faults += error.diagnostics
    if faults:
        raise InputError(dict.fromkeys(faults))
    return found[0], found[1]


class _Work:
    """Both versions on common cells, and where they differ."""

    def __init__(
        self, old: Side, new: Side, first: int, end: int, progress: Progress = quiet
    ) -> None:
        progress("days and shifts of both versions")
        self.sides = (old, new)
        lines = [timeline(side.plan, first, end) for side in self.sides]
        lines = [line.cut(other.starts) for line, other in (lines, lines[::-1])]
        self.line = lines[0]
        self.versions = _versions(self.sides, lines)
        self.columns = Columns()
        self.by_line = self._compared(progress)
        self.outcomes, self.which = combined(self.by_line)

    def _compared(self, progress: Progress) -> list[Compared]:
        cells = len(self.line.starts)
        pairs = zip_longest(*self.versions)
        found = [compared(old, new, cells, self.columns, progress) for old, new in pairs]
        return found or [([Outcome(NEVER, NEVER, NEVER)], np.zeros(cells, np.intp))]

    @property
    def zone(self) -> ZoneInfo | None:
        """The zone of the first version that reads a clock."""
        reading = [side.plan for side in self.sides if side.plan.clocks_read()]
        return home_zone(reading[0]) if reading else None

    def moment(self, minute: int) -> datetime | None:
        """A minute of UTC in the zone."""
        return moment_of(minute).astimezone(self.zone) if self.zone else None

    def stretches(self, outcomes: Sequence[Outcome], which: Which) -> tuple[Minutes, Minutes]:
        """Where stretches of differing minutes begin and end."""
        masks = np.stack([outcome.differ for outcome in outcomes])
        some: Flags = np.logical_or.reduce(masks, axis=1)
        every: Flags = np.logical_and.reduce(masks, axis=1)
        whole = np.flatnonzero(every[which])
        partly = np.flatnonzero((some & ~every)[which])
        starts = [self.line.starts[whole]]
        ends = [self.line.starts[whole] + self.line.lengths[whole]]
        for begin in range(0, len(partly), _CHUNK):
            cell, minutes = expanded(partly[begin : begin + _CHUNK], self.line)
            found = minutes[masks[which[cell], minutes % MINUTES_PER_DAY]]
            starts.append(found)
            ends.append(found + 1)
        start, end = np.concatenate(starts), np.concatenate(ends)
        order = np.argsort(start, kind="stable")
        return joined(start[order], end[order])

    def minutes_of(self, line: Compared) -> int:
        """How many minutes a line differs, on its own."""
        starts, ends = self.stretches(*combined([line]))
        return int((ends - starts).sum())

    def difference(self, minute: int) -> Difference:
        """What both versions print at a minute."""
        lines: list[tuple[str, ...]] = []
        faults: list[Diagnostic] = []
        for side in self.sides:
            when = moment_of(minute).astimezone(self.zone) if self.zone else None
            try:
                instant = Instant(when, side.given.counters, side.given.inputs)
                lines.append(side.plan.resolve(instant).lines)
            except InputError as error:
                lines.append(())
                faults += error.diagnostics
        return Difference(self.moment(minute), lines[0], lines[1], tuple(faults))

    def characters(self) -> LongestChange:
        """The largest change in the characters of a line that both versions have."""
        best, cells = LongestChange(0, None), len(self.line.starts)
        for index, (old, new) in enumerate(zip(*self.versions, strict=False)):
            lengths = measured([(old, len), (new, len)], cells, self.columns)
            found = self._longest(lengths, _last_less_first)
            if abs(found.change) > abs(best.change):
                best = LongestChange(found.change, self.moment(found.minute), index)
        return best

    def strokes(self) -> LongestChange | None:
        """The largest change in the strokes of the message; None without fonts."""
        if any(side.fonts is None for side in self.sides):
            return None
        old, new = (Ruler.of(side.plan.message, side.fonts or {}) for side in self.sides)
        pairs = [
            (version, partial(advance, setter))
            for versions, ruler in zip(self.versions, (old, new), strict=True)
            for version, setter in zip(versions, ruler.setters, strict=True)
        ]
        lengths = measured(pairs, len(self.line.starts), self.columns)
        count = len(old.setters)

        def change(advances: Minutes) -> Minutes:
            return new.length(advances[..., count:]) - old.length(advances[..., :count])

        found = self._longest(lengths, change)
        return LongestChange(found.change, self.moment(found.minute) if found.change else None)

    def _longest(self, lengths: Measured, change: Callable[[Minutes], Minutes]) -> Longest:
        fails = [outcome.old_fails | outcome.new_fails for outcome in self.outcomes]
        return longest(lengths, change, fails, self.which, self.line)


def _versions(
    sides: Sequence[Side], lines: Sequence[Timeline]
) -> tuple[list[Version], list[Version]]:
    """The lines of both sides; raises `InputError` with the faults of both."""
    found: list[list[Version]] = []
    faults: list[Diagnostic] = []
    for side, line in zip(sides, lines, strict=True):
        shifts = Shifts(line)
        try:
            atoms = lines_given(TermMaker(side.plan, line), side.given)
            found.append([Version(own, shifts) for own in atoms])
        except InputError as error:
            faults += error.diagnostics
    if faults:
        raise InputError(dict.fromkeys(faults))
    return found[0], found[1]


def _last_less_first(lengths: Minutes) -> Minutes:
    change: Minutes = lengths[..., 1] - lengths[..., 0]
    return change


def _days(starts: Minutes, ends: Minutes, zone: ZoneInfo) -> int:
    """Days of the zone that stretches touch, each once."""
    if not len(starts):
        return 0
    offsets = offsets_between(zone.key, int(starts[0]), int(ends[-1]))
    first = (starts + offsets.at(starts)) // MINUTES_PER_DAY
    last = (ends - 1 + offsets.at(ends - 1)) // MINUTES_PER_DAY
    before = np.concatenate([[first[0] - 1], np.maximum.accumulate(last)[:-1]])
    return int(np.maximum(0, last - np.maximum(first, before + 1) + 1).sum())

"""Typed dates whose limits go by the time, in codes that are looked at for repeats.

Where every day prints differently, and limits only move forward, a code with a date can be printed
in one stretch of time alone: from when the date may first be typed until it may no longer. Within
that it comes again as it would if dates had no limits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.domain.atoms import Kind, Variable, Varying, Whole, reads_of
from rasterc.domain.calendar import date_of
from rasterc.domain.codes import rows_of
from rasterc.domain.timeline import Timeline, Tracks
from rasterc.domain.typed import Allowed, allowed, dates_read, texts_by_day
from rasterc.extremes.model_repeats import Found
from rasterc.extremes.printing import Printing
from rasterc.values import Plan


@dataclass(frozen=True, slots=True)
class Held:
    """The dates of a code that are limited by clocks.

    Attributes:
        plan: the message.
        line: the clocks that limit them.
        windows: the days that each may be, in each cell.
        unknown: names of those of which it cannot be told when a code can be printed.
    """

    plan: Plan
    line: Timeline
    windows: dict[str, Allowed]
    unknown: tuple[str, ...]

    @classmethod
    def of(cls, printing: Printing, touching: Sequence[Varying]) -> Held:
        """Those that some atoms read; ``touching`` cannot be told apart from others."""
        plan = printing.plan
        read = frozenset[Variable]().union(*map(reads_of, printing.varying))
        names = [name for name in dates_read(plan, read) if plan.dates[name].by_time]
        dates = [plan.dates[name] for name in names]
        limits = [end for date in dates for end in (*date.firsts, *date.lasts)]
        line = Tracks(plan, *printing.horizon.minutes).line(limits, ())
        windows = {name: allowed(plan.dates[name], line) for name in names}
        apart = [atom for atom in printing.varying if atom not in touching]
        unknown = [n for n in names if not _is_told(plan, n, windows[n], apart)]
        return cls(plan, line, windows, tuple(unknown))

    def shared(self, last: int, again: int) -> dict[str, str] | None:
        """For each date the first day that it may be at both of two minutes; None without one."""
        cells = [self._cell(minute) for minute in (last, again)]
        texts: dict[str, str] = {}
        for name, window in self.windows.items():
            first = max(int(window.first[cell]) for cell in cells)
            if first > min(int(window.last[cell]) for cell in cells):
                return None
            texts[name] = self.plan.dates[name].text(date_of(first))
        return texts

    def begins(self, first: int, last: int, inputs: Mapping[str, str]) -> int:
        """The first minute of a run up to a last one at which dates may be as given."""
        cells = range(self._cell(first), self._cell(last) + 1)
        days = {name: self._day(name, inputs[name]) for name in self.windows}
        able = (c for c in cells if all(self._holds(n, c, day) for n, day in days.items()))
        return max(first, int(self.line.starts[next(able)]))

    def settled(self, found: Found) -> Found:
        """The same, known to be never where no date may be typed for so long."""
        least = found.no_sooner
        for name, window in self.windows.items():
            too_late = not found.exact and least is not None and least > self._reach(window)
            if found.always or too_late:
                return Found(never=f"date {name} may not be typed again after so long a time")
        return found

    def _reach(self, window: Allowed) -> int:
        """No two minutes at which a date may be one day are farther apart."""
        some = window.first <= window.last
        ends = np.searchsorted(window.first, window.last, "right") - 1
        lengths = self.line.ends[ends] - self.line.starts
        return int(lengths[some].max()) if some.any() else 0

    def _cell(self, minute: int) -> int:
        return int(np.searchsorted(self.line.starts, minute, "right")) - 1

    def _day(self, name: str, text: str) -> int:
        day = self.plan.dates[name].day(text)
        assert day is not None
        return (day - date_of(0)).days

    def _holds(self, name: str, cell: int, day: int) -> bool:
        window = self.windows[name]
        return bool(window.first[cell] <= day <= window.last[cell])


def _is_told(plan: Plan, name: str, window: Allowed, apart: Sequence[Varying]) -> bool:
    """Whether a date is told by what is printed, and its limits only move forward."""
    forward = all((np.diff(ends) >= 0).all() for ends in (window.first, window.last))
    days, variable = window.ends(), Variable(Kind.INPUT, name)
    if not forward or days is None:
        return False
    mine = [a for a in apart if isinstance(a, Whole) and a.reads == {variable}]
    ids = [texts_by_day(plan, atom, name, days).ids for atom in mine]
    if not ids or any((some < 0).any() for some in ids):
        return False
    return len(rows_of(ids, len(ids[0]))[0]) == len(ids[0])

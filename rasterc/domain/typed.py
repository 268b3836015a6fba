"""Dates that are typed: which days they may be over time, and what fields print of each day.

What is counted from a typed date is laid out over days as clocks are over time, a cell for each.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Feature, Kind, Variable, Whole
from rasterc.domain.calendar import DAY_0, OF_LETTER, date_of
from rasterc.domain.inputwords import ListedWords
from rasterc.domain.printer import Printed, Printer, printed_of
from rasterc.domain.timeline import Timeline, Tracks
from rasterc.values import Instant, Places, Plan
from rasterc.values.dates.offsets import Minutes
from rasterc.values.dates.shifts import MINUTES_PER_DAY
from rasterc.values.dates.typed import FIRST_DAY, LAST_DAY, TypedDate
from rasterc.values.fields.kinds import ClockText
from rasterc.values.moment import Moment

FIRST, LAST = (FIRST_DAY - DAY_0).days, (LAST_DAY - DAY_0).days
"""The days of typed dates without limits."""


@dataclass(frozen=True, slots=True, eq=False)
class Allowed:
    """The first and the last day that a date may be in each cell; crossed where there is none."""

    first: Minutes
    last: Minutes

    def ends(self) -> tuple[int, int] | None:
        """The first and the last day of all cells; None when there is none."""
        some = self.first <= self.last
        if not some.any():
            return None
        return int(self.first[some].min()), int(self.last[some].max())


def dates_read(plan: Plan, variables: frozenset[Variable]) -> Iterator[str]:
    """The names of the typed dates among some variables, sorted."""
    for variable in sorted(variables):
        if variable.kind is Kind.INPUT and plan.inputs[variable.name].date is not None:
            yield variable.name


def allowed(date: TypedDate, line: Timeline) -> Allowed:
    """The days of a date in the cells of a timeline that has the clocks which limit it."""
    first, last = np.full(len(line), FIRST, np.int64), np.full(len(line), LAST, np.int64)
    for end in date.firsts:
        track = line.clocks[end]
        first = np.maximum(first, np.where(track.valid, track.day, LAST + 1))
    for end in date.lasts:
        track = line.clocks[end]
        last = np.minimum(last, np.where(track.valid, track.day, FIRST - 1))
    return Allowed(first, last)


def days_within(plan: Plan, name: str, minutes: tuple[int, int]) -> tuple[int, int] | None:
    """The first and last day that a date may be at some minute; None when it may be none."""
    date = plan.dates[name]
    line = Tracks(plan, *minutes).line((*date.firsts, *date.lasts), ())
    return allowed(date, line).ends()


def words_of(date: TypedDate, days: tuple[int, int] | None) -> ListedWords:
    """The texts of a date from a first to a last day, in order of time."""
    first, last = days or (1, 0)
    return ListedWords(tuple(date.text(date_of(day)) for day in range(first, last + 1)))


def day_of(date: TypedDate, text: str) -> int:
    """The number of the day that one of its texts means."""
    day = date.day(text)
    assert day is not None
    return (day - DAY_0).days


def printer_of_days(plan: Plan, name: str, first: int, last: int) -> Printer:
    """Prints what is counted from a date over its days from a first to a last one."""
    tracks = Tracks(plan, first * MINUTES_PER_DAY, (last + 1) * MINUTES_PER_DAY, typed=name)
    clocks = [clock for clock, ready in plan.clocks.items() if ready.root.name == name]
    return Printer(plan, tracks.line(clocks, ()))


def texts_by_day(plan: Plan, atom: Whole, name: str, days: tuple[int, int]) -> Printed:
    """What an atom prints that depends on a date alone, for each day from a first to a last."""
    source = atom.field.source
    if isinstance(source, ClockText):
        letters = (part.letter for part in source.pattern.parts if part.letter)
        features = {Feature(source.clock, OF_LETTER[letter]) for letter in letters}
        printer = printer_of_days(plan, name, *days)
        printed = printer.by_cell(replace(atom, features=tuple(sorted(features))))
        return replace(printed, atom=atom)
    texts = [_text(plan, atom, name, day) for day in range(days[0], days[1] + 1)]
    return printed_of(atom, texts, np.arange(len(texts)))


def _text(plan: Plan, atom: Whole, name: str, day: int) -> str | None:
    given = {name: plan.dates[name].text(date_of(day))}
    try:
        return atom.field.text(Moment(plan, Instant(None, {}, given), Places(), limited=False))
    except InputError:
        return None

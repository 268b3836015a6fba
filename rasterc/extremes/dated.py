"""The typed dates of a message over a horizon: what ties them to the minute, and their groups."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.domain.atoms import (
    TIME,
    Kind,
    Letter,
    Literal,
    Variable,
    Varying,
    Whole,
    letters_of,
    reads_of,
)
from rasterc.domain.printer import Printed
from rasterc.domain.timeline import Timeline, Tracks
from rasterc.domain.typed import Allowed, allowed, dates_read, day_of, days_within, texts_by_day
from rasterc.extremes.clockgroup import ClockGroup
from rasterc.extremes.dategroup import DatedAtoms, DateGroup
from rasterc.extremes.group import Assignment
from rasterc.extremes.listgroup import ListGroup, instant_of
from rasterc.extremes.meter import Meter
from rasterc.extremes.variables import Domain
from rasterc.values import Places, Plan
from rasterc.values.dates.languages import find_names
from rasterc.values.dates.patterns import parse_pattern
from rasterc.values.fields.kinds import ClockText
from rasterc.values.moment import Moment

NoTexts = list[tuple[Assignment, Diagnostic]]
"""Values for which an atom has no text, and why."""


@dataclass(slots=True)
class Dates:
    """The typed dates of a plan over the minutes of a horizon."""

    plan: Plan
    horizon: tuple[int, int]
    _windows: dict[str, tuple[Timeline, Allowed]] = field(default_factory=dict)

    def read(self, variables: frozenset[Variable]) -> list[str]:
        """The names of the dates among some variables."""
        return list(dates_read(self.plan, variables))

    def check(self, domains: Mapping[Variable, Domain]) -> None:
        """Make sure that every date may be some day; raises `InputError`."""
        for name in self.read(frozenset(domains)):
            if not domains[Variable(Kind.INPUT, name)].words.lengths():
                raise no_day(self.plan, name)

    def limits(self, names: Sequence[str]) -> list[str]:
        """The clocks that limit some dates."""
        dates = [self.plan.dates[name] for name in names]
        return [end for date in dates for end in (*date.firsts, *date.lasts)]

    def ties(self, atoms: Sequence[Varying]) -> list[frozenset[Variable]]:
        """Each date that atoms read and the minute, where its limits go by the time."""
        read = frozenset[Variable]().union(*map(reads_of, atoms))
        limited = [name for name in self.read(read) if self.plan.dates[name].by_time]
        return [frozenset({TIME, Variable(Kind.INPUT, name)}) for name in limited]

    def are_apart(self, variables: frozenset[Variable], atoms: Sequence[Varying]) -> bool:
        """Whether the variables are dates, perhaps with the minute, and no atom reads two."""
        dates = {Variable(Kind.INPUT, name) for name in self.read(variables)}
        alone = all(len(reads_of(atom)) == 1 for atom in atoms)
        return alone and bool(dates) and variables - {TIME} == dates

    def letters(self, variables: frozenset[Variable]) -> Iterator[Varying]:
        """Atoms that differ whenever the limits of some dates do."""
        pattern = parse_pattern("yyyyMMdd", None, find_names("en", None))
        for end in self.limits(self.read(variables)):
            letters = letters_of(self.plan, ClockText(end, pattern))
            if self.plan.clocks[end].zone is not None:
                yield from (letter for letter in letters if not isinstance(letter, Literal))

    def is_possible(self, assignment: Assignment) -> bool:
        """Whether the dates of an assignment are within their limits at its minute."""
        texts = assignment.inputs.items()
        dates = [(name, text) for name, text in texts if name in self.plan.dates]
        return all(self._allows(name, text, assignment.minute) for name, text in dates)

    def _allows(self, name: str, text: str, minute: int | None) -> bool:
        if name not in self._windows:
            line = Tracks(self.plan, *self.horizon).line(self.limits([name]), ())
            self._windows[name] = line, allowed(self.plan.dates[name], line)
        line, window = self._windows[name]
        at = self.horizon[0] if minute is None else minute
        cell = int(np.searchsorted(line.starts, at, "right")) - 1
        day = day_of(self.plan.dates[name], text)
        return bool(window.first[cell] <= day <= window.last[cell])

    def group(
        self, clocks: ClockGroup, names: Sequence[str], atoms: Sequence[Varying]
    ) -> tuple[DateGroup, NoTexts]:
        """The group of dates and the minute; raises `InputError` when one may never be any day."""
        line = clocks.work.timeline
        found: list[DatedAtoms] = []
        missing: NoTexts = []
        for name in names:
            date = self.plan.dates[name]
            window = allowed(date, line)
            days = window.ends()
            if days is None:
                raise no_day(self.plan, name)
            printed = self._printed(name, days, atoms)
            found.append(DatedAtoms.of(name, date, days, printed, window))
            missing += self._missing(found[-1], line)
        return DateGroup(clocks, found), missing

    def listed(
        self, name: str, atoms: Sequence[Varying], unprintable: Meter
    ) -> tuple[ListGroup, NoTexts]:
        """The group of a date that depends on nothing else, day by day.

        Raises:
            InputError: no day is allowed, or none has a text.
        """
        days = days_within(self.plan, name, self.horizon)
        if days is None:
            raise no_day(self.plan, name)
        date, printed = self.plan.dates[name], self._printed(name, days, atoms)
        still = Timeline(np.zeros(1, np.int64), 1, {}, {})
        window = Allowed(np.array([days[0]]), np.array([days[1]]))
        dated = DatedAtoms.of(name, date, days, printed, window)
        missing = [
            (Assignment(inputs=given.inputs), why) for given, why in self._missing(dated, still)
        ]
        good = np.logical_and.reduce([one.ids >= 0 for one in printed])
        if not good.any():
            raise InputError(dict.fromkeys(why for _, why in missing))
        texts = [[one.texts[number] for number in one.ids[good]] for one in printed]
        given = [Assignment(inputs={name: dated.text(int(at))}) for at in np.flatnonzero(good)]
        return ListGroup([one.atom for one in printed], given, texts, unprintable), missing

    def _printed(
        self, name: str, days: tuple[int, int], atoms: Sequence[Varying]
    ) -> tuple[Printed, ...]:
        variable = Variable(Kind.INPUT, name)
        mine = [a for a in atoms if isinstance(a, Whole) and a.reads == {variable}]
        return tuple(texts_by_day(self.plan, atom, name, days) for atom in mine)

    def _missing(
        self, dated: DatedAtoms, line: Timeline
    ) -> Iterator[tuple[Assignment, Diagnostic]]:
        """The first day of a date on which an atom has no text, and a minute for it."""
        for one in dated.printed:
            for place in np.flatnonzero(one.ids < 0):
                cells = np.flatnonzero((dated.low <= place) & (place <= dated.high))
                if len(cells):
                    texts = {dated.name: dated.text(int(place))}
                    given = Assignment(minute=int(line.starts[cells[0]]), inputs=texts)
                    yield from ((given, why) for why in self._why(one.atom, given))
                    break

    def _why(self, atom: Varying, given: Assignment) -> Sequence[Diagnostic]:
        assert not isinstance(atom, Letter)
        moment = Moment(self.plan, instant_of(given), Places(), limited=False)
        try:
            atom.field.text(moment)
        except InputError as error:
            return error.diagnostics
        return ()


def no_day(plan: Plan, name: str) -> InputError:
    """The report that a date may never be any day."""
    return InputError.one(
        "no-date-allowed",
        f"date {name} may be no day: its limits cross at every moment",
        plan.inputs[name].input.span,
        "look at its limits",
    )

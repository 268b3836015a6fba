"""Repeats of a message over product tables, also of one row's text by another row.

Within a case they are those of a plain message. Two cases never print the same where some field
tells them apart: the key, or a name that is in one of them alone. Else what they have in common
tells how soon they may: a text comes again no sooner than the fields that no row changes, as long
as what a row does change stays the same while these do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import (
    TIME,
    Atom,
    Feature,
    Kind,
    Letter,
    Literal,
    Varying,
    Whole,
    features_of,
    reads_of,
    take_apart,
)
from rasterc.domain.clockwork import TooManyCellsError, clockwork
from rasterc.domain.fieldtexts import FieldTexts
from rasterc.domain.horizon import Horizon
from rasterc.domain.printer import text_codes
from rasterc.domain.progress import quiet
from rasterc.domain.reach import names_shown
from rasterc.domain.texts import characters
from rasterc.extremes.model_repeats import RepeatsReport
from rasterc.extremes.printing import Printing
from rasterc.extremes.recurrence import shortest
from rasterc.extremes.rounds import WRAPS, Round
from rasterc.extremes.touching import Extent, texts_read, touching
from rasterc.source.times import Offset
from rasterc.values import Plan
from rasterc.values.fields.kinds import ClockText, InputText, fields_read
from rasterc.values.given.counters import prints

_MIXED = "rows of different shelf lives or languages may print the same"


def repeats_of_cases(
    plan: Plan,
    fields: Sequence[str],
    stretch: Horizon,
    look: Callable[[Plan], RepeatsReport],
) -> RepeatsReport:
    """The repeats over all cases of a plan; ``look`` tells those of one.

    Raises:
        InputError: there are too many cases; or as ``look``.
    """
    cases = list(plan.plain())
    reports = [look(case) for case in cases]
    whole = _soonest(reports, plan)
    if whole.always or whole.never:
        return whole
    bound = _Across(plan, cases, fields, stretch).no_sooner()
    own = min((_lower(report) for report in reports), key=_or_never)
    lowest = min(bound, own, key=_or_never)
    if (whole.gap is not None and lowest is not None and lowest < whole.gap) or whole.gap is None:
        if lowest is None and whole.gap is None:
            return replace(whole, exact=True, no_sooner=None, why="")
        whys = (_MIXED if bound is not None else "", *(report.why for report in reports))
        why = "; ".join(dict.fromkeys(filter(None, whys)))
        return replace(whole, exact=False, no_sooner=lowest, why=why)
    return replace(whole, exact=True, no_sooner=None, why="")


def _or_never(time: timedelta | None) -> timedelta:
    return timedelta.max if time is None else time


def _lower(report: RepeatsReport) -> timedelta | None:
    """A time before which nothing of a case prints again; None for never."""
    return report.gap if report.exact else report.no_sooner or timedelta(0)


def _soonest(reports: Sequence[RepeatsReport], plan: Plan) -> RepeatsReport:
    """The report of the case with the closest repeat, and the rounds of all."""
    for report in reports:
        if report.always:
            return report
    best = min(reports, key=lambda report: (bool(report.never), _or_never(report.gap)))
    found = (each for report in reports for each in report.rounds)
    rounds = dict.fromkeys(_of_all_rows(each, plan) for each in found)
    return replace(best, rounds=tuple(rounds))


def _of_all_rows(each: Round, plan: Plan) -> Round:
    """A round of a counter that picks rows, of which a case has only some of the numbers."""
    if plan.cases is None or each.counter not in plan.cases.names:
        return each
    if each.why == WRAPS:
        return replace(each, prints=prints(plan.message.counters[each.counter]))
    return replace(each, prints=1, exact=False)


@dataclass(slots=True)
class _Across:
    """What two cases may print alike: their texts, line by line and field by field."""

    plan: Plan
    cases: Sequence[Plan]
    fields: Sequence[str]
    stretch: Horizon
    texts: list[list[tuple[Atom, ...]]] = field(init=False)
    known: FieldTexts = field(init=False)

    def __post_init__(self) -> None:
        self.texts = [texts_read(take_apart(case), self.fields) for case in self.cases]
        self.known = FieldTexts(self.plan)

    def no_sooner(self) -> timedelta | None:
        """A time before which no case prints what another has printed; None for never."""
        clear = [number for number in range(len(self.texts[0])) if self.is_clear(number)]
        if any(self.tells_apart(number) for number in clear):
            return None
        if self.names & {*self.plan.message.counters}:  # each case has a part of its numbers
            return timedelta(0)
        if self.plan.dates:  # what may be typed may depend on the row
            return timedelta(0)
        return self.in_common(clear)

    @property
    def names(self) -> frozenset[str]:
        """The inputs and counters that pick rows."""
        return frozenset(self.plan.cases.names if self.plan.cases else ())

    def columns(self, number: int) -> list[tuple[Atom, ...]]:
        """The atoms of a line, each as it is in all cases."""
        lines = [case[number] for case in self.texts]
        return list(zip(*lines, strict=True)) if len({*map(len, lines)}) == 1 else []

    def is_clear(self, number: int) -> bool:
        """Whether a line tells where its fields end, whatever the row."""
        text, columns = self.texts[0][number], self.columns(number)
        for column in columns:
            if isinstance(column[0], Literal) and len({_literal(atom) for atom in column}) > 1:
                return False
        extents: dict[Atom, Extent] = {
            a: self.extent(a) for a in text if not isinstance(a, Literal)
        }
        return bool(columns) and next(touching(text, extents), None) is None

    def extent(self, atom: Varying) -> Extent:
        if isinstance(atom, Letter):
            texts = self.known.letter(atom.clock, atom.part, atom.options)
        else:
            texts = self.known.field(atom.field)
        free = (v.name for v in reads_of(atom) if v.kind is Kind.INPUT)
        anything = any(not self.plan.message.inputs[name].choices for name in free)
        least, most = (sum(getattr(p, end) for p in texts) for end in ("shortest", "longest"))
        return Extent(least, most, None if anything else characters(texts))

    def tells_apart(self, number: int) -> bool:
        """Whether some field of a line prints for each case what it prints for no other."""
        for column in self.columns(number):
            sets = [self.looked_up(a, c) for a, c in zip(column, self.cases, strict=True)]
            if sum(map(len, sets)) == len(set().union(*sets)) and all(sets):
                return True
        return False

    def looked_up(self, atom: Atom, case: Plan) -> set[str]:
        """What a field prints that goes by the key of a row alone; nothing for other fields."""
        source = atom.field.source if isinstance(atom, Whole) else None
        if not isinstance(atom, Whole) or not isinstance(source, InputText):
            return set()
        name = source.rule.input.name
        return set(_printed(atom, case.inputs[name].texts)) if name in self.names else set()

    def in_common(self, clear: Iterable[int]) -> timedelta | None:
        """The same by the fields that no row changes."""
        columns = [column for number in clear for column in self.columns(number)]
        timed = [c for c in columns if not isinstance(c[0], Literal) and TIME in reads_of(c[0])]
        common = [column[0] for column in columns if self.is_common(column)]
        if not all(map(self.keeps_up, range(len(self.cases)), [timed] * len(self.cases))):
            return timedelta(0)
        texts = [(atom,) for atom in common]
        try:
            found = shortest(Printing(self.cases[0], self.stretch, texts, quiet))
        except InputError:
            return timedelta(0)
        if found.always or not found.exact:
            return timedelta(minutes=found.no_sooner or 0)
        return None if found.repeat is None else timedelta(minutes=found.repeat.gap)

    def is_common(self, column: Sequence[Atom]) -> bool:
        """Whether a field prints the same in all cases, at the same values."""
        atom = column[0]
        if isinstance(atom, Literal) or len({*map(_patterns, column)}) > 1:
            return False
        keys = {v.name for v in reads_of(atom)} & self.names
        return not keys and not any(self.is_moved(feature.of) for feature in features_of(atom))

    def is_moved(self, of: str) -> bool:
        """Whether a clock or shift depends on a row."""
        message, name = self.plan.message, of
        while True:
            name = message.shifts[name].clock if name in message.shifts else name
            clock = message.clocks[name]
            if any(isinstance(step, Offset) and step.column for step in clock.steps):
                return True
            below = clock.base or clock.shift
            if below is None:
                return False
            name = below

    def keeps_up(self, case: int, timed: Sequence[tuple[Atom, ...]]) -> bool:
        """Whether in a case all that goes by the time stays the same while the common fields do.

        Lines that are not clear are left out of the common fields, not of the others.
        """
        everything = [atom for text in self.texts[case] for atom in text]
        common = {column[case] for column in timed if self.is_common(column)}
        mine = [a for a in everything if not isinstance(a, Literal) and TIME in reads_of(a)]
        if any(_by_the_minute(f) for a in mine if a in common for f in features_of(a)):
            return True
        if not common or any(reads_of(atom) != {TIME} for atom in mine):
            return False
        try:
            work = clockwork(self.cases[case], *self.stretch.minutes, mine)
        except TooManyCellsError:
            return False
        if any(printed.atom not in common for printed in work.by_minute):
            return False
        own, others = (
            text_codes(
                (p for p in work.by_cell if (p.atom in common) is shared), len(work.timeline)
            )
            for shared in (False, True)
        )
        return not bool(((np.diff(own) != 0) & (np.diff(others) == 0)).any())


def _literal(atom: Atom) -> str:
    return atom.text if isinstance(atom, Literal) else ""


def _patterns(atom: Atom) -> tuple[object, ...]:
    """What of an atom the language of a row may change: names of months, days and half days."""
    if isinstance(atom, Literal):
        return (atom.text,)
    if isinstance(atom, Letter):
        return names_shown(atom.part)
    sources = (read.source for read in fields_read([atom.field]))
    patterns = (source.pattern for source in sources if isinstance(source, ClockText))
    return tuple(names_shown(part) for pattern in patterns for part in pattern.parts)


def _by_the_minute(feature: Feature) -> bool:
    return feature.name == "minute" and feature.divided == 1


def _printed(atom: Whole, texts: Iterable[str]) -> Iterator[str]:
    for text in texts:
        try:
            for option in atom.field.options:
                text = option.apply(text)
        except InputError:
            continue  # it has no print
        yield text

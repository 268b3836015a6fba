"""The group of fields that cannot be searched piece by piece, when their values are few enough."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.domain.atoms import Letter, Varying, Whole
from rasterc.domain.words import Count
from rasterc.extremes.columns import Column
from rasterc.extremes.group import Assignment, best, contains, distinct
from rasterc.extremes.meter import Meter, Vectors
from rasterc.values import Instant, Places, Plan
from rasterc.values.dates.offsets import moment_of
from rasterc.values.fields.options import Option
from rasterc.values.moment import Moment

MAX_LISTED = 200_000
"""Combinations of values that are tried one by one."""

MAX_MISSING = 100
"""Combinations without a text that are told of."""


@dataclass(frozen=True, slots=True)
class NoText:
    """An assignment for which an atom has no text, and why."""

    assignment: Assignment
    diagnostic: Diagnostic


@dataclass(slots=True)
class ListGroup:
    """Some assignments in order, and the texts of the atoms for each."""

    atoms: Sequence[Varying]
    assignments: Sequence[Assignment]
    texts: Sequence[Sequence[str]]
    unprintable: Meter
    _printable: NDArray[np.intp] | None = None
    _columns: list[Column] | None = None

    def vectors(self, meter: Meter, sense: int) -> Vectors:
        """See `group.Group`."""
        rows = self._rows(meter)[self._looked_at(meter)]
        return best(rows, sense) if meter.slots == 1 else distinct(rows)[0]

    def first(self, meter: Meter, _: int, wanted: Vectors) -> tuple[Assignment, Vectors]:
        """See `group.Group`."""
        rows, looked_at = self._rows(meter), self._looked_at(meter)
        at = int(looked_at[np.argmax(contains(wanted, rows[looked_at]))])
        return self.assignments[at], rows[at : at + 1]

    def count(self) -> Count:
        """Distinct tuples of texts."""
        return Count(len(set(zip(*self.texts, strict=True))) if self.texts else 1)

    def _looked_at(self, meter: Meter) -> NDArray[np.intp]:
        """Assignments whose texts the fonts carry, as far as there are any."""
        every = np.arange(len(self.assignments))
        if meter is self.unprintable:
            return every
        if self._printable is None:
            lacking = self._rows(self.unprintable)[:, 0] > 0
            self._printable = every if lacking.all() else np.flatnonzero(~lacking)
        return self._printable

    def _rows(self, meter: Meter) -> Vectors:
        rows = np.zeros((len(self.assignments), meter.slots), dtype=np.int64)
        for atom, column in zip(self.atoms, self._told_apart(), strict=True):
            if not meter.passes_by(atom):
                weights = meter.weigh_all(meter.place(atom), column)
                rows[:, meter.slot[atom.line]] += weights[column.which]
        return rows

    def _told_apart(self) -> list[Column]:
        if self._columns is None:
            self._columns = [Column.of(texts) for texts in self.texts]
        return self._columns


def list_group(
    plan: Plan, atoms: Sequence[Varying], assignments: Iterable[Assignment], unprintable: Meter
) -> tuple[ListGroup, list[NoText]]:
    """The group of atoms over all these assignments; those without texts are left out.

    Dates are not held to their limits here.

    Raises:
        InputError: none of them has texts.
    """
    kept: list[Assignment] = []
    rows: list[list[str]] = []
    missing: list[NoText] = []
    for assignment in assignments:
        moment = Moment(plan, instant_of(assignment), Places(), limited=False)
        try:
            rows.append([text_of(atom, moment) for atom in atoms])
            kept.append(assignment)
        except InputError as error:
            if len(missing) < MAX_MISSING:  # no more are told of
                missing += [NoText(assignment, diagnostic) for diagnostic in error.diagnostics]
    if not kept:
        raise InputError(dict.fromkeys(no.diagnostic for no in missing))
    texts = list(zip(*rows, strict=True))
    return ListGroup(atoms, kept, texts, unprintable), missing


def input_group(
    atoms: Sequence[Whole], name: str, texts: Iterable[str], unprintable: Meter
) -> tuple[ListGroup, list[NoText]]:
    """The same of atoms that print one input and what tables say of it, over these texts of it.

    Raises:
        InputError: as `list_group`.
    """
    kept: list[Assignment] = []
    rows: list[list[str]] = []
    missing: list[NoText] = []
    for text in texts:
        assignment = Assignment(inputs={name: text})
        try:
            rows.append([_after(atom.field.options, text) for atom in atoms])
            kept.append(assignment)
        except InputError as error:
            if len(missing) < MAX_MISSING:
                missing += [NoText(assignment, diagnostic) for diagnostic in error.diagnostics]
    if not kept:
        raise InputError(dict.fromkeys(no.diagnostic for no in missing))
    return ListGroup(atoms, kept, list(zip(*rows, strict=True)), unprintable), missing


def _after(options: Iterable[Option], text: str) -> str:
    for option in options:
        text = option.apply(text)
    return text


def instant_of(assignment: Assignment) -> Instant:
    """An assignment as an instant, in UTC."""
    when = None
    if assignment.minute is not None or assignment.second is not None:
        when = moment_of(assignment.minute or 0, assignment.second or 0)
    return Instant(when, assignment.counters, assignment.inputs)


def text_of(atom: Varying, moment: Moment) -> str:
    """What an atom prints at a moment; raises `InputError` when it has no text."""
    if not isinstance(atom, Letter):
        return atom.field.text(moment)
    text = atom.part.render(moment.clock(atom.clock))
    for option in atom.options:
        text = option.apply(text)
    return text


def combinations(choices: Sequence[Sequence[Assignment]]) -> Iterator[Assignment]:
    """Every way to take one of each, the last varying fastest."""
    if not choices:
        yield Assignment()
        return
    for first in choices[0]:
        for rest in combinations(choices[1:]):
            yield first.joined(rest)

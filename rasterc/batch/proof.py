"""Whether a message tells by itself that no code of a job is printed twice.

It does when the whole text of a counter can be read off a line, whatever else is printed: then rows
of one stretch differ by it. The text stands at a fixed place from the left or the right, with as
many characters in every row or up to something that is none of its digits; so "case 1" before "23"
is not taken for "case 12" before "3". Rows of different stretches differ when what is printed by
the day or the shift, at fixed places too, never comes again in another stretch.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.batch.counting import Stretches, keys_of
from rasterc.batch.source import Counted
from rasterc.batch.times import MINUTE, shown
from rasterc.diagnostics import InputError
from rasterc.domain.atoms import TIME, Atom, Kind, Literal, Varying, Whole, reads_of, take_apart
from rasterc.domain.codes import codes_of
from rasterc.domain.printer import Goes, Printed, Printer
from rasterc.domain.timeline import Tracks
from rasterc.source.declarations import Counter
from rasterc.values import Plan
from rasterc.values.fields.kinds import CheckText, CounterText
from rasterc.values.given.counters import prints, text_of


def why_unique(plan: Plan, source: Counted) -> str:
    """Why no two rows of a job print the same, in words; "" when the message does not tell."""
    if plan.cases is not None:  # each row of the job may be one of another plain message
        return ""
    try:
        seen = _Seen(plan, source, _printer(plan, source), take_apart(plan))
        return next(seen.reasons(), "")
    except InputError:  # years that cannot be looked at
        return ""


def _printer(plan: Plan, source: Counted) -> Printer:
    """Prints what goes by the time, over the whole job."""
    clocks, shifts = map(list, shown(plan))
    for each in source.stretches.values():
        if each.counter.restart_of is not None:
            by_shift = each.counter.restart.of == "shift"
            (shifts if by_shift else clocks).append(each.counter.restart_of)
    pace, last = source.pace, max(0, source.count - 1)
    first, end = (
        (0, 1) if pace.start is None else (pace.start // MINUTE, pace.at(last) // MINUTE + 1)
    )
    return Printer(plan, Tracks(plan, first, end).line(clocks, shifts))


@dataclass(slots=True)
class _Seen:
    """The lines of a message as a reader meets them over a job."""

    plan: Plan
    source: Counted
    printer: Printer
    atoms: Sequence[Atom]

    def reasons(self) -> Iterator[str]:
        """Each counter that tells all rows apart."""
        for place, atom in enumerate(self.atoms):
            counter = _counter_of(atom)
            stretches = None if counter is None else self.source.stretches.get(counter.name)
            if stretches is None or not self._counts_on(stretches):
                continue
            if not (self._stands_apart(place) and _tells_values(atom)):
                continue
            why = f"counter {stretches.counter.name} is printed whole, once each"
            if len(stretches.starts) == 1:
                yield why
            elif self._restarts_are_told(stretches):
                yield f"{why}, and what is printed by the day tells its restarts apart"

    def _counts_on(self, stretches: Stretches) -> bool:
        """Whether a counter gives each number once in each stretch."""
        if stretches.counter.repeat != 1:
            return False
        used = stretches.before + stretches.lengths(self.source.count)
        return bool((used <= prints(stretches.counter)).all())

    def _stands_apart(self, place: int) -> bool:
        """Whether the text of an atom can be read off its line."""
        before, after = self._beside(place)
        left = all(self._length(atom) is not None for atom in before)
        right = all(self._length(atom) is not None for atom in after)
        if self._length(self.atoms[place]) is not None:
            return left or right
        digits = _digits_of(self.atoms[place])
        ends = not _touches(after[:1], 0, digits)
        begins = not _touches(before[-1:], -1, digits)
        return (left and right) or (left and ends) or (right and begins)

    def _beside(self, place: int) -> tuple[list[Atom], list[Atom]]:
        """The atoms of the same line before and after one; those without text are left out."""
        line = self.atoms[place].line
        pairs = [(n, atom) for n, atom in enumerate(self.atoms) if atom.line == line]
        there = [(n, a) for n, a in pairs if not isinstance(a, Literal) or a.text]
        return [a for n, a in there if n < place], [a for n, a in there if n > place]

    def _length(self, atom: Atom) -> int | None:
        """Characters of an atom, when it has as many in every row; 0 where only that is known."""
        if isinstance(atom, Literal):
            return len(atom.text)
        kinds = {variable.kind for variable in reads_of(atom)}
        if kinds <= {Kind.INPUT}:
            return 0  # inputs stay as they are
        if kinds <= {Kind.TIME, Kind.SECOND}:
            return self._length_in_time(atom)
        if isinstance(atom, Whole) and not atom.field.options:
            return _own_length(atom)
        return None

    def _length_in_time(self, atom: Varying) -> int | None:
        if self.printer.is_mixed(atom):
            return None
        _, printed = self.printer.printed(atom)
        lengths = {len(text) for text in printed.texts}
        return lengths.pop() if len(lengths) == 1 and int(printed.ids.min()) >= 0 else None

    def _restarts_are_told(self, stretches: Stretches) -> bool:
        """Whether what is printed by the day or the shift differs from stretch to stretch."""
        line, pace = self.printer.timeline, self.source.pace
        rows = np.array([pace.first_row(int(start) * MINUTE) for start in line.starts], np.int64)
        filled = np.diff(rows, append=self.source.count) > 0
        keys = codes_of(keys_of(stretches.counter, line), len(line))[filled]
        number = np.cumsum(np.append(False, keys[1:] != keys[:-1]))
        told = [each.ids[filled] for each in self._by_cell()]
        if not told:
            return False
        printed = codes_of(told, len(number))
        pairs = codes_of([printed, number], len(number))
        return len(np.unique(printed)) == len(np.unique(pairs))

    def _by_cell(self) -> Iterator[Printed]:
        """What stays the same within a day and a shift and can be read off its line."""
        for place, atom in enumerate(self.atoms):
            if isinstance(atom, Literal) or reads_of(atom) != {TIME} or self.printer.is_mixed(atom):
                continue
            goes, printed = self.printer.printed(atom)
            whole = goes is Goes.CELL and self._length(atom) is not None
            if whole and self._stands_apart(place):
                yield printed


def _counter_of(atom: Atom) -> Counter | None:
    """The counter whose whole text an atom is."""
    if isinstance(atom, Whole) and isinstance(atom.field.source, CounterText):
        return None if atom.field.options else atom.field.source.counter
    return None


def _tells_values(atom: Atom) -> bool:
    """Whether different values of a counter have different texts as they are filled up."""
    assert isinstance(atom, Whole)
    source = atom.field.source
    assert isinstance(source, CounterText)
    digits = source.counter.digits
    fills = source.fill == digits[0] or source.fill not in digits
    return fills and len(set(digits)) == len(digits)


def _own_length(atom: Whole) -> int | None:
    source = atom.field.source
    if isinstance(source, CheckText):
        return source.algorithm.length
    if not isinstance(source, CounterText):
        return None
    values = source.counter.values
    ends = {
        max(source.width, len(text_of(source.counter, value))) for value in (values[0], values[-1])
    }
    return ends.pop() if len(ends) == 1 else None


def _digits_of(atom: Atom) -> str:
    counter = _counter_of(atom)
    return "" if counter is None else counter.digits


def _touches(beside: Sequence[Atom], end: int, digits: str) -> bool:
    """Whether what stands beside a counter may begin, or end, with one of its digits."""
    if not beside:
        return False
    return not isinstance(beside[0], Literal) or beside[0].text[end] in digits

"""Rows of data as rows of a job: inputs, counters and moments by column."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import numpy as np

from rasterc.batch.columns import Column, constant, of_texts
from rasterc.batch.counting import Going, Numbers, Stop
from rasterc.batch.data import CHUNK, Chunk, Chunks, evenly, refused_of
from rasterc.batch.pace import MOST_AT_ONCE, Pace
from rasterc.batch.rows import Micros, Rows, micros_of
from rasterc.batch.source import Told
from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.moments import parse_when
from rasterc.values import Instant, Plan
from rasterc.values.expects import counter_value

AT = "at"
"""The column of moments; an input of that name is an input."""

Faults = list[tuple[int, Diagnostic]]


@dataclass(frozen=True, slots=True, eq=False)
class Given:
    """The rows of some data; counters that it does not tell go on from row to row.

    Attributes:
        plan: the message.
        chunks: the data.
        pace: the moments of rows that tell none.
        before: prints of each counter before the first row.
        inputs: texts of inputs that have no column.
        ignored: columns that are not looked at.
    """

    plan: Plan
    chunks: Chunks
    pace: Pace = field(default_factory=Pace)
    before: Mapping[str, int] = field(default_factory=dict)
    inputs: Mapping[str, str] = field(default_factory=dict)
    ignored: frozenset[str] = frozenset()

    @property
    def count(self) -> None:
        """It is not known before the end."""

    def told(self, first: int, size: int) -> Iterator[Told]:
        """The rows from ``first`` on, at most ``size`` at a time."""
        assert size <= MOST_AT_ONCE
        running = {
            name: Going(self.plan, counter, self.before.get(name, 0))
            for name, counter in self.plan.message.counters.items()
        }
        begin, names = 0, None
        for chunk in evenly(self.chunks()):
            names = names or tuple(chunk.columns)
            chunk = _of_names(chunk, names)
            told = self._told(chunk, begin, running)
            begin += chunk.count
            if begin > first:
                yield told if begin - chunk.count >= first else _behind(told, first)
            if told.stop is not None:
                return

    def at(self, numbers: Sequence[int]) -> Iterator[Rows]:
        """Some rows by their numbers, counted from 1; all are read to find them."""
        wanted = np.array(sorted(numbers), np.int64)
        for told in self.told(0, CHUNK):
            found = np.flatnonzero(np.isin(told.rows.numbers, wanted))
            if len(found):
                yield told.rows.take(found)

    def _told(self, chunk: Chunk, first: int, running: Mapping[str, Going]) -> Told:
        faults: Faults = []
        self._refuse_unknown(chunk)
        at = self._moments(chunk, first, faults)
        counters, stop = self._counters(chunk, first, at, running, faults)
        names = [n for n in self.plan.inputs if n in chunk.columns or n in self.inputs]
        inputs = {name: self._input(name, chunk, faults) for name in names}
        numbers = np.arange(first, first + chunk.count, dtype=np.int64) + 1
        lines = np.array(chunk.lines, np.int64) if chunk.lines else None
        rows = Rows(numbers, at, counters, inputs, lines)
        return _without(rows, chunk, first, faults, stop)

    def _counters(
        self,
        chunk: Chunk,
        first: int,
        at: Micros | None,
        running: Mapping[str, Going],
        faults: Faults,
    ) -> tuple[dict[str, Numbers], Stop | None]:
        """What counters print, by column or going on; and where the first of these ends."""
        stop: Stop | None = None
        counters: dict[str, Numbers] = {}
        for name, going in running.items():
            if name in chunk.columns:
                counters[name] = self._counter(name, chunk.columns[name], faults)
                continue
            counters[name], until = going.next(at, chunk.count)
            if until < chunk.count and (stop is None or first + until < stop.row):
                stop = Stop(first + until, going.counter)
        return counters, stop

    def _refuse_unknown(self, chunk: Chunk) -> None:
        known = {*self.plan.message.counters, *self.plan.inputs, AT}
        strange = [n for n in chunk.columns if n not in known and n not in self.ignored]
        if strange:
            said = f'the column "{strange[0]}" is no counter and no input of the message'
            near = did_you_mean(strange[0], known)
            help = f'{near}; a column that is not needed: --ignore "{strange[0]}"'
            raise InputError.one("unknown-column", said, help=help)

    def _moments(self, chunk: Chunk, first: int, faults: Faults) -> Micros | None:
        if AT not in chunk.columns or AT in self.plan.inputs:
            return self.pace.moments(first, chunk.count)
        known: dict[Any, int | Diagnostic] = {}
        moments = np.zeros(chunk.count, np.int64)
        last = self.pace.start or 0
        for place, cell in enumerate(chunk.columns[AT]):
            if place in chunk.broken:
                moments[place] = last
                continue
            if cell not in known:
                known[cell] = self._moment(cell)
            found = known[cell]
            if isinstance(found, Diagnostic):
                faults.append((place, found))
            else:
                last = found
            moments[place] = last
        return moments

    def _moment(self, cell: Any) -> int | Diagnostic:
        if not isinstance(cell, str | datetime):
            said = "it tells no moment" if cell is None else f"{cell!r} is no moment"
            return Diagnostic("not-a-time", said, help='write it as "2027-11-25 14:05"')
        try:
            when = parse_when(cell) if isinstance(cell, str) else cell
            zoned = when if when.tzinfo and not self.plan.clocks else self.plan.when(Instant(when))
            return micros_of(zoned)
        except InputError as error:
            return error.diagnostics[0]

    def _counter(self, name: str, cells: Sequence[Any], faults: Faults) -> Any:
        counter = self.plan.message.counters[name]
        values = np.full(len(cells), counter.first, np.int64)
        for place, cell in enumerate(cells):
            value = cell
            if isinstance(cell, str):
                value = counter_value(counter, cell.strip(), False)
            if isinstance(value, int) and not isinstance(value, bool) and abs(value) < 1 << 62:
                values[place] = value
            else:
                said = f"{cell!r} is no value of counter {name}"
                fault = Diagnostic("bad-counter-value", said, counter.span, "give a whole number")
                faults.append((place, fault))
        return values

    def _input(self, name: str, chunk: Chunk, faults: Faults) -> Column:
        cells = chunk.columns.get(name)
        if cells is None:
            return constant(self.inputs[name])
        for place, cell in enumerate(cells):
            if cell is not None and not isinstance(cell, str):
                said = f"input {name} takes a text, not {cell!r}"
                help = 'give it in quotes: a number forgets its zeros, "0042" does not'
                faults.append((place, Diagnostic("bad-input", said, help=help)))
        default = self.inputs.get(name)
        return of_texts([_text(cell, default) for cell in cells])


def _without(rows: Rows, chunk: Chunk, first: int, faults: Faults, stop: Stop | None) -> Told:
    """Rows up to the one that is not printed, those with faults told apart."""
    end = chunk.count if stop is None else stop.row - first
    told = [(place, fault) for place, fault in faults if place not in chunk.broken]
    found = refused_of(chunk, first, [*chunk.broken.items(), *told])
    refused = [one for one in found if one.number <= first + end]
    good = np.ones(end, np.bool_)
    good[[one.number - first - 1 for one in refused]] = False
    kept = rows if end == chunk.count and not refused else rows.take(np.flatnonzero(good))
    return Told(kept, tuple(refused), stop)


def _of_names(chunk: Chunk, names: tuple[str, ...]) -> Chunk:
    """A chunk with the columns that the first one has; what other rows tell is an error."""
    if tuple(chunk.columns) == names:
        return chunk
    for name in chunk.columns:
        if name not in names:
            said = f'only later rows tell "{name}"'
            raise InputError.one("unknown-column", said, help="tell it in every row, or in none")
    columns = {name: chunk.columns.get(name, [None] * chunk.count) for name in names}
    return Chunk(chunk.count, columns, chunk.lines, chunk.broken)


def _text(cell: Any, default: str | None) -> str | None:
    return cell if isinstance(cell, str) else default


def _behind(told: Told, first: int) -> Told:
    """What is told from a row on, counted from 0."""
    rows = told.rows.take(np.flatnonzero(told.rows.numbers > first))
    return Told(rows, tuple(one for one in told.refused if one.number > first), told.stop)

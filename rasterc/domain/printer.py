"""The texts of atoms over the cells of a timeline: by the cell, the minute or the second.

Dates and shifts stay the same within a cell; what shows a running wall time goes by the minute of
its day, or by the second of the minute.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, time
from enum import StrEnum

import numpy as np

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.domain.atoms import PART, Feature, Letter, Varying, Whole, features_of
from rasterc.domain.calendar import FEATURES, TIMES, Days, date_of
from rasterc.domain.codes import Index, compressed, rows_of
from rasterc.domain.timeline import Timeline
from rasterc.values import Instant, Plan
from rasterc.values.dates.clocks import ClockValue
from rasterc.values.dates.offsets import Flags, Minutes, moment_of, wall_of
from rasterc.values.dates.shifts import MINUTES_PER_DAY
from rasterc.values.fields.kinds import ClockTable, ClockText, ShiftText
from rasterc.values.given.tables import by_time

SECONDS_PER_MINUTE = 60
_NO_DAY = date_of(0)
_MIDNIGHT = datetime.combine(_NO_DAY, time())


class Goes(StrEnum):
    """What the text of an atom goes by."""

    CELL = "cell"
    MINUTE = "minute"
    SECOND = "second"


@dataclass(frozen=True, slots=True)
class Fault:
    """A moment (UTC minute) at which an atom has no text, and why."""

    minute: int
    diagnostic: Diagnostic


@dataclass(frozen=True, slots=True, eq=False)
class Printed:
    """The distinct texts of an atom, and which of them it prints, -1 where it has none.

    ``ids`` are by cell, by minute of the day or by second of the minute.
    """

    atom: Varying
    texts: tuple[str, ...]
    ids: Index

    def filled(self) -> Printed:
        """The same with an empty text where there is none."""
        if len(self.ids) and int(self.ids.min()) >= 0:
            return self
        texts = tuple(dict.fromkeys((*self.texts, "")))
        return Printed(self.atom, texts, np.where(self.ids < 0, texts.index(""), self.ids))


def text_codes(printed: Iterable[Printed], length: int) -> Minutes:
    """One number for each distinct tuple of texts, of atoms that have one everywhere."""
    code: Minutes | None = None
    for one in printed:
        if len(one.texts) > 1:
            code = one.ids if code is None else compressed(code * len(one.texts) + one.ids)
    return np.zeros(length, dtype=np.int64) if code is None else code


@dataclass(slots=True)
class Printer:
    """Prints atoms over a timeline; ``faults`` tells where one has no text."""

    plan: Plan
    timeline: Timeline
    faults: list[Fault] = field(default_factory=list)
    _dates: dict[str, tuple[int, Days]] = field(default_factory=dict)

    def goes_by(self, feature: Feature) -> Goes:
        """What a feature goes by."""
        if feature.name == "second":
            return Goes.SECOND
        if feature.name == PART or feature.name in FEATURES:
            return Goes.CELL
        return Goes.MINUTE if self.timeline.clocks[feature.of].runs else Goes.CELL

    def is_mixed(self, atom: Varying) -> bool:
        """Whether an atom goes by several things: a date and a time, say."""
        return len({self.goes_by(feature) for feature in features_of(atom)}) > 1

    def printed(self, atom: Varying) -> tuple[Goes, Printed]:
        """What an atom goes by that is not mixed, and its texts."""
        goes = next(map(self.goes_by, features_of(atom)), Goes.CELL)
        how = {Goes.CELL: self.by_cell, Goes.MINUTE: self.by_minute, Goes.SECOND: self.by_second}
        return goes, how[goes](atom)

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

    def by_cell(self, atom: Varying) -> Printed:
        """The texts in each cell, within which the atom has to stay the same."""
        features = features_of(atom)
        first, which = rows_of(map(self.features, features), len(self.timeline))
        valid = self.valid(features)
        if valid.all():
            return printed_of(atom, [self._in_cell(atom, int(cell)) for cell in first], which)
        at = _first_valid(which, valid, len(first))
        texts = [self._in_cell(atom, int(cell)) if valid[cell] else None for cell in at]
        return printed_of(atom, texts, np.where(valid, which, -1))

    def valid(self, features: Iterable[Feature]) -> Flags:
        """Where the clocks and shifts of some features show anything."""
        valid = np.ones(len(self.timeline), np.bool_)
        for of in {feature.of for feature in features}:
            shift = self.timeline.shifts.get(of)
            valid &= self.timeline.clocks[of].valid if shift is None else shift.began.valid
        return valid

    def _in_cell(self, atom: Varying, cell: int) -> str | None:
        minute = int(self.timeline.starts[cell])
        try:
            return self._rendered(atom, cell, minute)
        except InputError as error:
            self.faults += [Fault(minute, diagnostic) for diagnostic in error.diagnostics]
            return None

    def _rendered(self, atom: Varying, cell: int, minute: int) -> str:
        if isinstance(atom, Letter):
            return _shown(atom, self._value(atom.clock, cell))
        match atom.field.source:
            case ClockText(clock) | ClockTable(clock):
                return _shown(atom, self._value(clock, cell))
            case ShiftText(shift):
                point = self.timeline.shifts[shift].point[cell]
                return _changed(atom, self.plan.schedules[shift].labels[point])
        return atom.field.text(self.plan.at(Instant(moment_of(minute))))

    def _value(self, name: str, cell: int) -> ClockValue:
        """What a clock shows at the start of a cell; its wall time is naive."""
        reading = self.timeline.clocks[name]
        return ClockValue(wall_of(int(reading.wall[cell])), date_of(int(reading.day[cell])))

    def by_minute(self, atom: Varying) -> Printed:
        """The texts at each minute of its clock's day; minutes that never come have a text too."""
        minutes = np.arange(MINUTES_PER_DAY)
        columns = (TIMES[f.name](minutes) // f.divided for f in features_of(atom))
        first, which = rows_of(columns, MINUTES_PER_DAY)
        return printed_of(atom, [self._at_minute(atom, int(minute)) for minute in first], which)

    def _at_minute(self, atom: Varying, minute: int) -> str | None:
        try:
            return _shown(atom, ClockValue(wall_of(minute), _NO_DAY))
        except InputError as error:
            at = self._when(features_of(atom)[0].of, minute)
            if at is not None:
                self.faults += [Fault(at, diagnostic) for diagnostic in error.diagnostics]
            return None

    def _when(self, clock: str, minute: int) -> int | None:
        """The first moment at which a running clock shows a minute of the day."""
        line = self.timeline
        ahead = (minute - line.clocks[clock].wall) % MINUTES_PER_DAY
        cells = np.flatnonzero(ahead < line.lengths)
        return int(line.starts[cells[0]] + ahead[cells[0]]) if len(cells) else None

    @staticmethod
    def by_second(atom: Varying) -> Printed:
        """The texts at each second of the minute."""

        def text(second: int) -> str | None:
            try:
                return _shown(atom, ClockValue(_MIDNIGHT.replace(second=second), _NO_DAY))
            except InputError:
                return None

        seconds = range(SECONDS_PER_MINUTE)
        return printed_of(atom, list(map(text, seconds)), np.arange(SECONDS_PER_MINUTE))


def _first_valid(which: Index, valid: Flags, count: int) -> Index:
    """For each number in ``which`` a place that has it, a valid one if there is any."""
    at = np.zeros(count, dtype=np.intp)
    for places in (np.arange(len(which)), np.flatnonzero(valid)):
        at[which[places][::-1]] = places[::-1]
    return at


def _shown(atom: Varying, value: ClockValue) -> str:
    """What an atom of one clock prints of a value of it."""
    if isinstance(atom, Letter):
        return _changed(atom, atom.part.render(value))
    source = atom.field.source
    if isinstance(source, ClockText):
        return _changed(atom, source.pattern.render(value))
    assert isinstance(source, ClockTable)
    return _changed(atom, by_time(source.table, value.wall, source.span))


def _changed(atom: Varying, text: str) -> str:
    for option in atom.field.options if isinstance(atom, Whole) else atom.options:
        text = option.apply(text)
    return text


def printed_of(atom: Varying, texts: Sequence[str | None], which: Index) -> Printed:
    """Each text once; ``which`` tells the places of ``texts``, -1 for none."""
    known = {text: n for n, text in enumerate(dict.fromkeys(t for t in texts if t is not None))}
    ids = np.array([*(-1 if text is None else known[text] for text in texts), -1], dtype=np.intp)
    return Printed(atom, tuple(known), ids[which])

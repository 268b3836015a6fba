"""Fields that touch and go by the day and by the minute: their joined text, minute by minute.

``p(dMHmm)`` prints "111105" at 01:05 on the 11th of November and at 11:05 on the 1st or 11th of
other months. Its texts are those of all days that differ in it with all minutes of the day.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.domain.atoms import Atom, Literal, features_of
from rasterc.domain.clockwork import CellType, Clockwork
from rasterc.domain.codes import Index, rows_of
from rasterc.domain.printer import Printed
from rasterc.values.dates.offsets import Minutes
from rasterc.values.dates.shifts import MINUTES_PER_DAY

MAX_ROWS = 2_500  # days that differ


@dataclass(frozen=True, slots=True, eq=False)
class Joint:
    """The joined text of some fields of one clock.

    Attributes:
        atoms: the fields.
        clock: whose minutes they go by.
        row: for each cell which row of ``numbers`` it has.
        numbers: the number of the text at each minute of the day, shape (rows, 1440); equal for
            equal texts.
    """

    atoms: tuple[Atom, ...]
    clock: str
    row: Index
    numbers: Minutes

    def codes(self, cell: int, kind: CellType) -> Minutes:
        """The numbers over the minutes of a cell of a type."""
        minutes = (kind.first[self.clock] + np.arange(kind.length)) % MINUTES_PER_DAY
        codes: Minutes = self.numbers[self.row[cell], minutes]
        return codes


def joint_of(work: Clockwork, part: Sequence[Atom]) -> Joint | None:
    """The joint of touching fields that all go by the time; None when it cannot be worked out."""
    by_cell, by_minute = (_among(some, part) for some in (work.by_cell, work.by_minute))
    clocks = {f.of for printed in by_minute.values() for f in features_of(printed.atom)}
    varying = [atom for atom in part if not isinstance(atom, Literal)]
    if len(clocks) != 1 or len(by_cell) + len(by_minute) < len(varying):
        return None
    first, row = rows_of((by_cell[a].ids for a in by_cell), len(work.timeline))
    minute, of_day = rows_of((by_minute[a].ids for a in by_minute), MINUTES_PER_DAY)
    if len(first) > MAX_ROWS:
        return None
    known: dict[str, int] = {}
    numbers = np.empty((len(first), len(minute)), np.int64)
    for index, cell in enumerate(first):
        pieces = [_pieces(atom, by_cell, int(cell), by_minute, minute) for atom in part]
        texts = map("".join, zip(*pieces, strict=True))
        numbers[index] = [known.setdefault(text, len(known)) for text in texts]
    return Joint(tuple(part), clocks.pop(), row, numbers[:, of_day])


def spelled(parts: Sequence[Printed | str]) -> Index:
    """The number of the joined text in each cell; equal for equal texts. Parts are what is printed
    by the cell, or stays the same."""
    printed = [part for part in parts if isinstance(part, Printed)]
    first, which = rows_of((one.ids for one in printed), len(printed[0].ids))
    joined = np.full(len(first), "", np.str_)
    for part in parts:
        texts = part if isinstance(part, str) else np.array(part.texts, np.str_)[part.ids[first]]
        joined = np.strings.add(joined, texts)
    return np.unique(joined, return_inverse=True)[1][which]


def _among(printed: Sequence[Printed], part: Sequence[Atom]) -> Mapping[Atom, Printed]:
    return {one.atom: one for one in printed if one.atom in part}


def _pieces(
    atom: Atom,
    by_cell: Mapping[Atom, Printed],
    cell: int,
    by_minute: Mapping[Atom, Printed],
    minutes: Index,
) -> Sequence[str]:
    """What an atom of the part prints in a cell, at each of some minutes of the day."""
    if isinstance(atom, Literal):
        return (atom.text,) * len(minutes)
    if atom in by_minute:
        printed = by_minute[atom]
        return [printed.texts[number] for number in printed.ids[minutes]]
    printed = by_cell[atom]
    return (printed.texts[printed.ids[cell]],) * len(minutes)

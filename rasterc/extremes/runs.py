"""Runs of minutes that print the same text, and the shortest time between two of them.

A *run* is a stretch of minutes without a break in which one text can print. Cells (see
`timeline`) are joined to *stretches* of the same day text; within a stretch the text changes by the
minute as its pattern says, and stretches of the same kind share one pattern.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from rasterc.values.dates.offsets import Flags, Minutes

_MANY = 50  # patterns that are looked at for texts in common before each two of them are


@dataclass(frozen=True, slots=True)
class Repeat:
    """A text that comes again: its first run, and the start of its next one. UTC minutes."""

    first_start: int
    first_end: int
    again: int

    @property
    def gap(self) -> int:
        """Minutes from the end of the first run to the next one."""
        return self.again - self.first_end


@dataclass(frozen=True, slots=True)
class Pattern:
    """The runs of a kind of stretch, by text; minutes count from its start.

    Attributes:
        length: of the stretch.
        texts: each text once, ascending; ``first_start``, ``first_end``, ``last_start`` and
            ``last_end`` belong to its first and last run.
        within: the closest two runs of one text.
    """

    length: int
    texts: NDArray[np.int64]
    first_start: Minutes
    first_end: Minutes
    last_start: Minutes
    last_end: Minutes
    within: Repeat | None


def pattern(codes: Minutes, every_minute: bool) -> Pattern:
    """The pattern of a stretch whose minutes print texts numbered ``codes``.

    With ``every_minute`` each minute is a run of its own: seconds are printed too.
    """
    changes = np.ones(len(codes) - 1, dtype=np.bool_) if every_minute else np.diff(codes) != 0
    starts = np.append(0, np.flatnonzero(changes) + 1)
    ends = np.append(starts[1:], len(codes))
    order = np.argsort(codes[starts], kind="stable")
    starts, ends, texts = starts[order], ends[order], codes[starts[order]]
    new = np.append(True, texts[1:] != texts[:-1])
    last = np.append(new[1:], True)
    gaps = np.where(new[1:], np.iinfo(np.int64).max, starts[1:] - ends[:-1])
    within = None
    if len(gaps) and not new[1:].all():
        at = int(np.argmin(gaps))
        within = Repeat(int(starts[at]), int(ends[at]), int(starts[at + 1]))
    return Pattern(len(codes), texts[new], starts[new], ends[new], starts[last], ends[last], within)


@dataclass(frozen=True, slots=True)
class Entries:
    """Stretches as they are held against each other: those of one label.

    With ``sides`` only those of different sides are. All arrays have the shape (n,), one element
    for each time a stretch is entered.
    """

    stretches: NDArray[np.intp]
    labels: NDArray[np.intp]
    sides: NDArray[np.intp] | None = None

    def in_order(self) -> Entries:
        """By label, then by time."""
        if (np.diff(self.stretches) >= 0).all():
            order = np.argsort(self.labels, kind="stable")
        else:
            order = np.lexsort((self.stretches, self.labels))
        sides = None if self.sides is None else self.sides[order]
        return Entries(self.stretches[order], self.labels[order], sides)


@dataclass(slots=True)
class Stretches:
    """Stretches in order of time.

    Attributes:
        starts, ends: UTC minutes.
        cells: the first cell of each.
        days: number of the text that stays the same within each.
        kinds: which of ``patterns`` each follows; None when the text does not change within.
        keys: for each counter that prints no number twice until it restarts, what changes then.
        parted: whether a run never goes on into a stretch from the one before.
    """

    starts: Minutes
    ends: Minutes
    cells: NDArray[np.intp]
    days: NDArray[np.intp]
    kinds: NDArray[np.intp] | None
    patterns: Sequence[Pattern]
    keys: Sequence[Minutes]
    parted: Flags
    _meets: NDArray[np.bool_] | None = None
    _between: dict[tuple[int, int, bool], tuple[int, Repeat] | None] = field(default_factory=dict)

    def shortest(self) -> Repeat | None:
        """The closest two runs of one text, the earliest of equals; None when there are none."""
        entries = Entries(np.arange(len(self.days)), self.days)
        return self.closest(entries, self.keys, self._within())

    def closest(
        self, entries: Entries, keys: Sequence[Minutes], best: Repeat | None = None
    ) -> Repeat | None:
        """The closest two runs in two stretches that are held against each other and differ in
        all keys; ``best`` when that is as close."""
        entries = entries.in_order()
        at, labels, sides = entries.stretches, entries.labels, entries.sides
        for lag in range(1, len(at)):
            first, later = at[:-lag], at[lag:]
            held = labels[lag:] == labels[:-lag]
            if best is not None:
                held &= self.starts[later] - self.ends[first] <= best.gap
            pairs = np.flatnonzero(held)
            if not len(pairs):
                break
            if sides is not None:
                pairs = pairs[sides[pairs] != sides[pairs + lag]]
            best = self._nearer(first[pairs], later[pairs], keys, best)
        return best

    def _within(self) -> Repeat | None:
        """The closest two runs within one stretch; none where counters keep numbers apart."""
        if self.kinds is None or self.keys:
            return None
        best: Repeat | None = None
        for kind, at in zip(*np.unique(self.kinds, return_index=True), strict=True):
            within, start = self.patterns[kind].within, int(self.starts[at])
            if within is not None:
                runs = within.first_start, within.first_end, within.again
                best = _nearest(best, Repeat(*(start + minute for minute in runs)))
        return best

    def _nearer(
        self,
        first: NDArray[np.intp],
        later: NDArray[np.intp],
        keys: Sequence[Minutes],
        best: Repeat | None,
    ) -> Repeat | None:
        """The closest runs of pairs of stretches, or ``best`` when that is as close."""
        apart: Flags = np.ones(len(first), dtype=np.bool_)
        for key in keys:
            apart &= key[first] != key[later]
        first, later = first[apart], later[apart]
        seam = (self.starts[later] == self.ends[first]) & ~self.parted[later]
        if self.kinds is None:
            return self._nearest_whole(first[~seam], later[~seam], best)
        many = len(self.patterns)
        if many > _MANY:  # most of them have no text in common
            meet = self._meeting()[self.kinds[first], self.kinds[later]]
            first, later, seam = first[meet], later[meet], seam[meet]
        code = (self.kinds[first] * many + self.kinds[later]) * 2 + seam
        for pair in np.unique(code).tolist():
            found = self._between_kinds(pair // 2 // many, pair // 2 % many, bool(pair % 2))
            if found is None:
                continue
            offset, runs = found
            mine = np.flatnonzero(code == pair)
            gaps = self.starts[later[mine]] - self.starts[first[mine]] + offset
            at = mine[_first_least(gaps, self.starts[first[mine]])]
            start, again = int(self.starts[first[at]]), int(self.starts[later[at]])
            repeat = Repeat(start + runs.first_start, start + runs.first_end, again + runs.again)
            best = _nearest(best, repeat)
        return best

    def _meeting(self) -> NDArray[np.bool_]:
        """Which patterns have a text in common, by the numbers of both."""
        if self._meets is None:
            kinds = np.repeat(np.arange(len(self.patterns)), [len(p.texts) for p in self.patterns])
            texts = np.concatenate([pattern.texts for pattern in self.patterns])
            order = np.argsort(texts, kind="stable")
            kinds, texts = kinds[order], texts[order]
            self._meets = np.eye(len(self.patterns), dtype=np.bool_)
            for lag in range(1, len(texts)):
                at = np.flatnonzero(texts[lag:] == texts[:-lag])
                if not len(at):
                    break
                self._meets[kinds[at], kinds[at + lag]] = True
            self._meets |= self._meets.T
        return self._meets

    def _nearest_whole(
        self, first: NDArray[np.intp], later: NDArray[np.intp], best: Repeat | None
    ) -> Repeat | None:
        if not len(first):
            return best
        at = _first_least(self.starts[later] - self.ends[first], self.starts[first])
        one, other = first[at], later[at]
        repeat = Repeat(int(self.starts[one]), int(self.ends[one]), int(self.starts[other]))
        return _nearest(best, repeat)

    def _between_kinds(self, one: int, other: int, seam: bool) -> tuple[int, Repeat] | None:
        """The closest runs of a text in a stretch and a later one: what to add to the time
        between their starts, and the runs, each counted from the start of its own stretch."""
        key = one, other, seam
        if key not in self._between:
            self._between[key] = _closest(self.patterns[one], self.patterns[other], seam)
        return self._between[key]


def _nearest(best: Repeat | None, other: Repeat) -> Repeat:
    """The closer of two repeats, the earlier of equals."""
    if best is None or (other.gap, other.first_start) < (best.gap, best.first_start):
        return other
    return best


def _first_least(gaps: Minutes, starts: Minutes) -> int:
    """Where the least gap is, the earliest of equals."""
    return int(np.lexsort((starts, gaps))[0])


def _closest(one: Pattern, other: Pattern, seam: bool) -> tuple[int, Repeat] | None:
    _, i, j = np.intersect1d(one.texts, other.texts, assume_unique=True, return_indices=True)
    if seam:  # a run that goes on across the seam is one run
        apart = (one.last_end[i] < one.length) | (other.first_start[j] > 0)
        i, j = i[apart], j[apart]
    if not len(i):
        return None
    offsets = other.first_start[j] - one.last_end[i]
    at = int(np.argmin(offsets))
    runs = Repeat(
        int(one.last_start[i[at]]), int(one.last_end[i[at]]), int(other.first_start[j[at]])
    )
    return int(offsets[at]), runs

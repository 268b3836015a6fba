"""Where two versions of a line print differently, exactly, over the cells of a timeline.

Equal ends of both versions are cut off first. Cells in which the rest is alike are compared once,
character by character for all minutes of the day together. Minutes of the day are those of UTC
here, so that clocks of several zones can be compared.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

import numpy as np

from rasterc.domain.progress import Progress, counted, quiet
from rasterc.domain.timeline import Which
from rasterc.tracing.columns import ALWAYS, NEVER, Column, Columns, Part, Points, Shifts
from rasterc.tracing.given import Atom, ByBoth
from rasterc.tracing.terms import ByCell, ByMinute, Fixed, Texts, Timed
from rasterc.values.dates.offsets import Flags, Minutes
from rasterc.values.dates.shifts import MINUTES_PER_DAY


@dataclass(frozen=True, slots=True)
class Outcome:
    """The minutes of a UTC day at which the versions differ, and at which one has no text."""

    differ: Flags
    old_fails: Flags
    new_fails: Flags


@dataclass(frozen=True, slots=True, eq=False)
class Version:
    """The atoms of one version of a line."""

    atoms: Sequence[Atom]
    shifts: Shifts

    def keys(self) -> Iterator[Which]:
        """What tells cells apart: where it is the same, the line goes by the minute alike."""
        for atom in self.atoms:
            for leaf in _leaves(atom):
                yield leaf.texts.which if isinstance(leaf, ByCell) else self.shifts.of(leaf.clock)

    def between(self, first: int, end: int) -> Version:
        """The version with these atoms only."""
        return Version(self.atoms[first:end], self.shifts)


_NOTHING = Version((), Shifts())

Compared = tuple[list[Outcome], Which]
"""Outcomes, and which of them each cell has."""


def compared(
    old: Version | None,
    new: Version | None,
    cells: int,
    columns: Columns,
    progress: Progress = quiet,
) -> Compared:
    """How two versions of a line differ, in every cell; None is a line that is not there."""
    missing = old is None or new is None
    old, new = _without_equal_ends(old or _NOTHING, new or _NOTHING)
    keys = [np.zeros(cells, np.intp), *old.keys(), *new.keys()]
    _, first, which = np.unique(
        np.stack(keys, axis=1), axis=0, return_index=True, return_inverse=True
    )
    judge = _Judge(columns)
    kinds = counted(first, f"of {len(first):,} kinds of days and shifts compared", progress)
    outcomes = [judge.outcome(old, new, int(cell)) for cell in kinds]
    if missing:
        outcomes = [replace(outcome, differ=ALWAYS) for outcome in outcomes]
    return outcomes, which.reshape(-1)


def _without_equal_ends(old: Version, new: Version) -> tuple[Version, Version]:
    """Both without the atoms at their ends that always print, and print the same."""
    first = _alike(old, new, 1)
    old, new = old.between(first, len(old.atoms)), new.between(first, len(new.atoms))
    last = _alike(old, new, -1)
    return old.between(0, len(old.atoms) - last), new.between(0, len(new.atoms) - last)


def _alike(old: Version, new: Version, step: int) -> int:
    """How many atoms from one end always print the same."""
    count = 0
    for a, b in zip(old.atoms[::step], new.atoms[::step], strict=False):
        if not (_always_prints(a) and _is_same(a, b, old.shifts, new.shifts)):
            break
        count += 1
    return count


def _leaves(atom: Atom) -> Sequence[Timed]:
    match atom:
        case Fixed():
            return ()
        case ByBoth():
            return atom.leaves
    return (atom,)


def _always_prints(atom: Atom) -> bool:
    sure = not isinstance(atom, ByBoth) or atom.size is not None
    return sure and all((leaf.texts.which >= 0).all() for leaf in _leaves(atom))


def _is_same(a: Atom | None, b: Atom | None, old: Shifts, new: Shifts) -> bool:
    """Whether two atoms print the same in every cell, as far as is seen at once."""
    match a, b:
        case Fixed(), Fixed():
            return a == b
        case ByCell(), ByCell():
            return _same_texts(a.texts, b.texts)
        case ByMinute(), ByMinute():
            at_once = np.array_equal(old.of(a.clock), new.of(b.clock))
            return at_once and _same_texts(a.texts, b.texts)
        case ByBoth(), ByBoth():
            pairs = zip_longest(a.leaves, b.leaves)
            return a.key == b.key and all(_is_same(x, y, old, new) for x, y in pairs)
    return False


def _same_texts(a: Texts, b: Texts) -> bool:
    number = {text: i for i, text in enumerate(a.texts)}
    translated = np.array([*(number.get(text, -2) for text in b.texts), -1], np.intp)
    return bool((a.which == translated[b.which]).all())


class _Judge:
    """Compares two versions in one cell after another, and remembers what came up before."""

    def __init__(self, columns: Columns) -> None:
        self.columns = columns
        self.known: dict[object, Flags] = {}

    def outcome(self, old: Version, new: Version, cell: int) -> Outcome:
        """How the versions differ in a cell."""
        before = [self.columns.part(atom, old.shifts, cell) for atom in old.atoms]
        after = [self.columns.part(atom, new.shifts, cell) for atom in new.atoms]
        return Outcome(self._different(before, after), _fails(before), _fails(after))

    def _different(self, before: Sequence[Part | None], after: Sequence[Part | None]) -> Flags:
        """The minutes at which the parts, one after another, spell different texts."""
        old, new = _joined(before), _joined(after)
        if not (_cut_equal(old, new, 0) and _cut_equal(old, new, -1)):
            return ALWAYS
        if not old and not new:
            return NEVER
        key = tuple(part if isinstance(part, str) else id(part) for part in (*old, "|", *new))
        if key not in self.known:
            self.known[key] = _different(old, new)
        return self.known[key]


def _fails(parts: Sequence[Part | None]) -> Flags:
    """The minutes at which one of the parts has no text."""
    if any(part is None for part in parts):
        return ALWAYS
    failing = [p.fails for p in parts if isinstance(p, Column) and p.fails.any()]
    return np.logical_or.reduce(failing) if failing else NEVER


def _joined(parts: Sequence[Part | None]) -> list[Part]:
    """Neighbouring texts made one, empty ones left out."""
    out: list[Part] = []
    for part in parts:
        last = out[-1] if out else None
        if isinstance(part, str) and isinstance(last, str):
            out[-1] = last + part
        elif part:
            out.append(part)
    return out


def _cut_equal(old: list[Part], new: list[Part], end: int) -> bool:
    """Cut equal parts off one end of both; False when characters there are seen to differ."""
    while old and new:
        a, b = old[end], new[end]
        if a is b or a == b:
            del old[end], new[end]
            continue
        if not (isinstance(a, str) and isinstance(b, str)):
            return True
        size = min(len(a), len(b))
        same = a[:size] == b[:size] if end == 0 else a[-size:] == b[-size:]
        if not same:
            return False
        for parts, text in ((old, a), (new, b)):
            rest = text[size:] if end == 0 else text[: len(text) - size]
            parts[end : len(parts) if end else 1] = [rest] if rest else []
    return True


def _different(old: Sequence[Part], new: Sequence[Part]) -> Flags:
    equal = np.equal(_lengths(old), _lengths(new))
    if not equal.any():
        return ALWAYS
    for minutes in _even(equal, [p for p in (*old, *new) if isinstance(p, Column)]):
        same: Flags = np.ones(len(minutes), np.bool_)
        for a, b in zip(_places(old, minutes), _places(new, minutes), strict=True):
            same = same & (a == b)
            if not same.any():
                break
        equal[minutes] = same
    return ~equal if equal.any() else ALWAYS


def _lengths(parts: Sequence[Part]) -> Minutes:
    total = np.zeros(MINUTES_PER_DAY, np.int64)
    for part in parts:
        total += len(part) if isinstance(part, str) else part.lengths
    return total


def _even(equal: Flags, columns: Sequence[Column]) -> Iterator[Minutes]:
    """The flagged minutes, in groups within which each column has one length."""
    minutes = np.flatnonzero(equal)
    if all(column.even for column in columns):
        yield minutes
        return
    sizes = np.stack([column.lengths[minutes] for column in columns], axis=1)
    _, group = np.unique(sizes, axis=0, return_inverse=True)
    for number in range(int(group.max()) + 1):
        yield minutes[group.reshape(-1) == number]


def _places(parts: Sequence[Part], minutes: Minutes) -> Iterator[Points | np.uint32]:
    """The code points at each place, for minutes within which each column has one length."""
    whole = len(minutes) == MINUTES_PER_DAY
    for part in parts:
        if isinstance(part, str):
            yield from (np.uint32(ord(char)) for char in part)
            continue
        for place in range(int(part.lengths[minutes[0]])):
            yield part.places[place] if whole else part.places[place, minutes]


def combined(lines: Sequence[Compared]) -> Compared:
    """The outcomes of whole messages: a message whose one line has no text prints nothing."""
    numbered = [(_distinct(outcomes), which) for outcomes, which in lines]
    keys = np.stack([numbers[which] for (numbers, _), which in numbered], axis=1)
    rows, which = np.unique(keys, axis=0, return_inverse=True)
    found = [
        _whole([outcomes[n] for n, ((_, outcomes), _) in zip(row, numbered, strict=True)])
        for row in rows.tolist()
    ]
    return found, which.reshape(-1)


def _distinct(outcomes: Sequence[Outcome]) -> tuple[Which, list[Outcome]]:
    """The number of each outcome in a list that has each once, and that list."""
    known: dict[object, int] = {}
    kept: list[Outcome] = []
    numbers = []
    for outcome in outcomes:
        key = tuple(
            id(mask) if mask is NEVER or mask is ALWAYS else mask.tobytes()
            for mask in (outcome.differ, outcome.old_fails, outcome.new_fails)
        )
        if key not in known:
            known[key] = len(kept)
            kept.append(outcome)
        numbers.append(known[key])
    return np.array(numbers, np.intp), kept


def _whole(outcomes: Sequence[Outcome]) -> Outcome:
    if len(outcomes) == 1:
        differ, old, new = outcomes[0].differ, outcomes[0].old_fails, outcomes[0].new_fails
    else:
        differ = np.logical_or.reduce([outcome.differ for outcome in outcomes])
        old = np.logical_or.reduce([outcome.old_fails for outcome in outcomes])
        new = np.logical_or.reduce([outcome.new_fails for outcome in outcomes])
    return Outcome((old != new) | (differ & ~old & ~new), old, new)

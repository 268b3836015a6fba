"""The parts of a line as things that can be matched against what was read.

A term knows which lengths its text can have, and narrows candidates to those that print what was
read in its place; a template of None means that its text was not read at all, but it must have
one. A term that depends on several values at once gives several sets of candidates.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from rasterc.domain.codes import rows_of
from rasterc.domain.templates import Lengths, Template, matcher
from rasterc.domain.timeline import Which
from rasterc.tracing.candidates import Candidates
from rasterc.values.dates.offsets import Flags

MAX_LISTED = 100_000  # values of a counter that are looked at one by one


Chars = NDArray[np.uint32]
"""Code points."""


class Term(Protocol):
    """A part of a line. ``lengths`` are those its text may have; some may not occur."""

    @property
    def lengths(self) -> Lengths:
        """Characters its text may have."""

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates that print what was read; those that print anything for None."""


@dataclass(frozen=True, slots=True)
class Fixed:
    """Text that is always the same."""

    text: str

    @property
    def lengths(self) -> Lengths:
        """The length of the text."""
        return frozenset({len(self.text)})

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """All of them or none."""
        if read is None or matcher(read)(self.text):
            yield among


@dataclass(frozen=True, eq=False)
class Texts:
    """Distinct texts, and which of them is printed at each place; -1 where none is."""

    texts: tuple[str, ...]
    which: Which
    _known: dict[Template | None, Flags] = field(default_factory=dict, repr=False)

    @cached_property
    def lengths(self) -> Lengths:
        """Lengths of the texts."""
        return frozenset(map(len, self.texts))

    def fitting(self, read: Template | None) -> Flags:
        """The places at which the text fits what was read."""
        if read not in self._known:
            self._known[read] = self._fit(read)[self.which]
        return self._known[read]

    def _fit(self, read: Template | None) -> Flags:
        """Whether each text fits what was read, and False for none."""
        fit = np.full(len(self.texts) + 1, read is None)
        fit[-1] = False
        if read is not None and len(read) in self._by_length:
            numbers, chars = self._by_length[len(read)]
            fit[numbers] = _fitting_rows(chars, read)
        return fit

    @cached_property
    def _by_length(self) -> Mapping[int, tuple[Which, Chars]]:
        """By length: which texts have it, and their characters, shape (texts, length)."""
        lengths = np.array([len(text) for text in self.texts], np.intp)
        found = {}
        for length in sorted(self.lengths):
            numbers = np.flatnonzero(lengths == length)
            codes = np.frombuffer(
                "".join(self.texts[n] for n in numbers).encode("utf-32-le"), np.uint32
            )
            found[length] = numbers, codes.reshape(len(numbers), length)
        return found


def _fitting_rows(chars: Chars, read: Template) -> Flags:
    """Which rows of characters fit what was read."""
    fit = np.ones(len(chars), np.bool_)
    for column, place in zip(chars.T, read, strict=True):
        if place is not None:
            fit &= np.isin(column, [ord(char) for char in place])
    return fit


@dataclass(frozen=True, eq=False)
class Leaf:
    """Text that goes by one thing."""

    texts: Texts

    @property
    def lengths(self) -> Lengths:
        """Lengths of the texts."""
        return self.texts.lengths

    @property
    def goes_by(self) -> object:
        """Equal for leaves that go by the same."""
        return type(self)

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates at which the text fits."""
        raise NotImplementedError


class ByCell(Leaf):
    """Text that stays the same throughout a cell of the timeline: dates, shifts."""

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """See `Leaf`."""
        return among.in_cells(self.texts.fitting(read))


@dataclass(frozen=True, eq=False)
class ByMinute(Leaf):
    """Text that goes by the minute of a clock's wall day."""

    clock: str

    @property
    def goes_by(self) -> object:
        """See `Leaf`."""
        return self.clock

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """See `Leaf`."""
        fitting = self.texts.fitting(read)
        return iter((among,)) if fitting.all() else among.at_minutes(self.clock, fitting)


class BySecond(Leaf):
    """Text that goes by the second of the minute."""

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """See `Leaf`."""
        return among.at_seconds(self.texts.fitting(read))


Timed = ByCell | ByMinute
Compute = Callable[[Mapping[Leaf, str]], str | None]
"""A text from those of some leaves."""


def tabulated(leaves: Sequence[Leaf], compute: Compute) -> Texts:
    """The texts worked out from leaves that all go by the same, for every place."""
    columns = [leaf.texts.which for leaf in leaves]
    first, which = rows_of(columns, len(columns[0]))
    rows = np.stack([column[first] for column in columns], axis=1).tolist()
    texts = [worked_out(leaves, row, compute) for row in rows]
    distinct = {t: i for i, t in enumerate(dict.fromkeys(t for t in texts if t is not None))}
    index = np.array([-1 if text is None else distinct[text] for text in texts], np.intp)
    return Texts(tuple(distinct), index[which])


def worked_out(leaves: Sequence[Leaf], codes: Sequence[int], compute: Compute) -> str | None:
    """The text for these codes of the leaves; None when one of them has none."""
    if any(code < 0 for code in codes):
        return None
    return compute({leaf: leaf.texts.texts[c] for leaf, c in zip(leaves, codes, strict=True)})

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

from rasterc.domain.atoms import Variable
from rasterc.domain.chosen import Chosen
from rasterc.domain.codes import rows_of
from rasterc.domain.counterwords import CounterWords
from rasterc.domain.inputwords import ListedWords
from rasterc.domain.templates import Lengths, Template, any_of, matcher
from rasterc.domain.timeline import Which
from rasterc.domain.words import Words
from rasterc.tracing.candidates import Candidates
from rasterc.tracing.templates import (
    applied,
    lengths_after,
    may_fail,
    undone,
)
from rasterc.values.dates.offsets import Flags
from rasterc.values.fields.kinds import FieldPlan
from rasterc.values.fields.options import Option, Pad
from rasterc.values.given.check_characters import CheckAlgorithm

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


@dataclass(frozen=True, eq=False)
class WordsTerm:
    """A counter or an input with its options; a counter is filled up by the first of them."""

    variable: Variable
    words: Words
    options: tuple[Option, ...]

    @cached_property
    def lengths(self) -> Lengths:
        """Lengths after the options."""
        if isinstance(self.words, ListedWords):
            return frozenset(len(text) for text in self._printed.values() if text is not None)
        return lengths_after(self.options, frozenset(self.words.lengths()))

    @cached_property
    def _printed(self) -> Mapping[str, str | None]:
        """What is printed of each text, None where there is no print."""
        return {text: applied(self.options, text) for text in self.words.texts()}

    @property
    def _is_listed(self) -> bool:
        """Whether texts are looked at one by one, which is exact whatever the options."""
        if isinstance(self.words, CounterWords):
            plain = all(isinstance(option, Pad) for option in self.options)
            return not plain and self.words.count().number <= MAX_LISTED
        return isinstance(self.words, ListedWords)

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates with a text that fits; those of a long counter are taken to have one."""
        if self._is_listed and (read is not None or may_fail(self.options) or self._has_choices):
            return among.with_words(self.variable, self._fitting(read))
        if read is None and (isinstance(self.words, CounterWords) or not may_fail(self.options)):
            return iter((among,))
        reads = map(any_of, sorted(self.lengths)) if read is None else (read,)
        own = frozenset(self.words.lengths())
        templates = (t for each in reads for t in undone(self.options, each, own))
        return among.with_words(self.variable, Chosen.fitting(self.words, templates))

    @property
    def _has_choices(self) -> bool:
        return isinstance(self.words, ListedWords)

    def _fitting(self, read: Template | None) -> Chosen:
        fits = matcher(read) if read is not None else lambda _: True
        pairs = self._printed.items()
        found = (word for word, text in pairs if text is not None and fits(text))
        return Chosen(self.words, (), frozenset(found))


@dataclass(frozen=True, eq=False)
class CheckTerm:
    """Check characters with options: worked out at the end, when their pieces are known best.

    Those that are ``sure`` to be there need not be worked out when none of them was read.
    """

    plan: FieldPlan
    algorithm: CheckAlgorithm
    sure: bool = False

    @cached_property
    def lengths(self) -> Lengths:
        """Lengths after the options."""
        return lengths_after(self.plan.options, frozenset({self.algorithm.length}))

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """All of them, the check noted."""
        if self.sure and not any(read or ()):
            return iter((among,))
        return among.with_check(self.plan, read)


@dataclass(frozen=True, eq=False)
class Joined:
    """Terms one after another."""

    terms: tuple[Term, ...]

    @cached_property
    def _tails(self) -> tuple[Lengths, ...]:
        """Lengths of the terms from each on; the last is that of none."""
        tails = [frozenset({0})]
        for term in reversed(self.terms):
            tails.append(frozenset(a + b for a in term.lengths for b in tails[-1]))
        return tuple(reversed(tails))

    @property
    def lengths(self) -> Lengths:
        """Lengths of all terms together."""
        return self._tails[0]

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates for every way to split what was read between the terms."""
        return self._from(0, read, among)

    def _from(self, index: int, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        if index == len(self.terms):
            if not read:
                yield among
            return
        term = self.terms[index]
        if read is None:
            for left in term.narrow(None, among):
                yield from self._from(index + 1, None, left)
            return
        for length in sorted(term.lengths):
            if len(read) - length in self._tails[index + 1]:
                for left in term.narrow(read[:length], among):
                    yield from self._from(index + 1, read[length:], left)


@dataclass(frozen=True, eq=False)
class Changed:
    """A term with options applied to its text."""

    term: Term
    options: tuple[Option, ...]

    @cached_property
    def lengths(self) -> Lengths:
        """Lengths after the options."""
        return lengths_after(self.options, self.term.lengths)

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates for every text that becomes what was read."""
        if read is None and not may_fail(self.options):
            yield from self.term.narrow(None, among)
            return
        reads: Sequence[Template] = (
            [any_of(n) for n in sorted(self.lengths)] if read is None else [read]
        )
        for wanted in reads:
            for template in undone(self.options, wanted, self.term.lengths):
                yield from self.term.narrow(template, among)

"""The parts of a line as things that can be matched against what was read.

A term knows which lengths its text can have, and narrows candidates to those that print what was
read in its place; a template of None means that its text was not read at all, but it must have
one. A term that depends on several values at once gives several sets of candidates.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Protocol

import numpy as np

from rasterc.domain.timeline import Which
from rasterc.source.declarations import Counter
from rasterc.tracing import counts, entries
from rasterc.tracing.candidates import Candidates
from rasterc.tracing.counts import CounterSet
from rasterc.tracing.templates import (
    Lengths,
    Template,
    any_of,
    applied,
    lengths_after,
    matcher,
    may_fail,
    undone,
)
from rasterc.values.dates.offsets import Flags
from rasterc.values.fields.kinds import FieldPlan
from rasterc.values.fields.options import Option
from rasterc.values.given.check_characters import CheckAlgorithm
from rasterc.values.given.counters import text_of, widest
from rasterc.values.given.inputs import InputRule

MAX_LISTED = 100_000  # values of a counter that are looked at one by one


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
            fits = matcher(read) if read is not None else bool
            fit = np.array([read is None or bool(fits(text)) for text in self.texts] + [False])
            self._known[read] = fit[self.which]
        return self._known[read]


@dataclass(frozen=True, slots=True)
class ByCell:
    """Text that stays the same throughout a cell of the timeline: dates, shifts."""

    texts: Texts

    @property
    def lengths(self) -> Lengths:
        """Lengths of the texts."""
        return self.texts.lengths

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates in cells whose text fits."""
        return among.in_cells(self.texts.fitting(read))


@dataclass(frozen=True, slots=True)
class ByMinute:
    """Text that goes by the minute of a clock's wall day."""

    clock: str
    texts: Texts

    @property
    def lengths(self) -> Lengths:
        """Lengths of the texts."""
        return self.texts.lengths

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates at minutes whose text fits."""
        fitting = self.texts.fitting(read)
        return iter((among,)) if fitting.all() else among.at_minutes(self.clock, fitting)


@dataclass(frozen=True, slots=True)
class BySecond:
    """Text that goes by the second of the minute."""

    texts: Texts

    @property
    def lengths(self) -> Lengths:
        """Lengths of the texts."""
        return self.texts.lengths

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates at seconds whose text fits."""
        return among.at_seconds(self.texts.fitting(read))


@dataclass(frozen=True, eq=False)
class CounterTerm:
    """A counter with its width, fill and options."""

    counter: Counter
    width: int
    fill: str
    options: tuple[Option, ...]

    @cached_property
    def _own_lengths(self) -> Lengths:
        return frozenset(max(n, self.width) for n in range(1, widest(self.counter) + 1))

    @cached_property
    def lengths(self) -> Lengths:
        """Lengths after the options."""
        return lengths_after(self.options, self._own_lengths)

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates with a value whose text fits."""
        if read is not None:
            return among.with_counter(self._values(read))
        if not may_fail(self.options):
            return iter((among,))
        return among.with_counter(self._listed(None))

    def _values(self, read: Template) -> CounterSet:
        if self.options and len(self.counter.values) <= MAX_LISTED:
            return self._listed(read)
        boxes = [
            box
            for template in undone(self.options, read, self._own_lengths)
            for box in counts.boxes_of(self.counter, template, self.width, self.fill)
        ]
        return CounterSet(self.counter, tuple(dict.fromkeys(boxes)))

    def _listed(self, read: Template | None) -> CounterSet:
        """Values looked at one by one; those of a long counter are taken to have a text."""
        if len(self.counter.values) > MAX_LISTED:
            return counts.whole(self.counter)
        fits = matcher(read) if read is not None else bool
        found = []
        for value in self.counter.values:
            own = text_of(self.counter, value).rjust(self.width, self.fill)
            text = applied(self.options, own)
            if text is not None and (read is None or fits(text)):
                found.append(value)
        return counts.listed(self.counter, found)


@dataclass(frozen=True, eq=False)
class InputTerm:
    """An input with its options."""

    rule: InputRule
    options: tuple[Option, ...]

    @cached_property
    def _own_lengths(self) -> Lengths:
        return entries.lengths_of(self.rule)

    @cached_property
    def _choices(self) -> dict[str, str | None] | None:
        """For an input with choices: the printed text of each."""
        choices = entries.choices_of(self.rule)
        return None if choices is None else {c: applied(self.options, c) for c in choices}

    @cached_property
    def lengths(self) -> Lengths:
        """Lengths after the options."""
        if self._choices is not None:
            return frozenset(len(text) for text in self._choices.values() if text is not None)
        return lengths_after(self.options, self._own_lengths)

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates with a text that fits."""
        if self._choices is not None:
            return among.with_input(self._chosen(self._choices, read))
        if read is None and not may_fail(self.options):
            return iter((among,))
        reads = map(any_of, sorted(self.lengths)) if read is None else (read,)
        templates = [t for r in reads for t in undone(self.options, r, self._own_lengths)]
        return among.with_input(entries.of_templates(self.rule, templates))

    def _chosen(self, choices: dict[str, str | None], read: Template | None) -> entries.InputSet:
        fits = matcher(read) if read is not None else bool
        found = (
            choice
            for choice, text in choices.items()
            if text is not None and (read is None or fits(text))
        )
        return entries.InputSet(self.rule, (), frozenset(found))


@dataclass(frozen=True, eq=False)
class CheckTerm:
    """Check characters with options: worked out at the end, when their pieces are known best."""

    plan: FieldPlan
    algorithm: CheckAlgorithm

    @cached_property
    def lengths(self) -> Lengths:
        """Lengths after the options."""
        return lengths_after(self.plan.options, frozenset({self.algorithm.length}))

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """All of them, the check noted."""
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

"""Terms that are made from others, or from the texts of a counter or an input."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from rasterc.domain.atoms import Variable
from rasterc.domain.chosen import Chosen
from rasterc.domain.counterwords import CounterWords
from rasterc.domain.inputwords import ListedWords
from rasterc.domain.templates import Lengths, Template, any_of, matcher
from rasterc.domain.words import Words
from rasterc.tracing.candidates import Candidates
from rasterc.tracing.templates import (
    applied,
    lengths_after,
    may_fail,
    undone,
)
from rasterc.tracing.terms import MAX_LISTED, Term
from rasterc.values.fields.kinds import FieldPlan
from rasterc.values.fields.options import Option, Pad
from rasterc.values.given.check_characters import CheckAlgorithm


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

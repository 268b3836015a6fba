"""A part of a line that was read: what stood before it and after it is not known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rasterc.domain.templates import Lengths, Template, any_of
from rasterc.tracing.candidates import Candidates
from rasterc.tracing.compound_terms import Joined
from rasterc.tracing.terms import Term


@dataclass(frozen=True, eq=False)
class Within:
    """A line of which a part was read; ``lengths`` are those of the whole line."""

    terms: tuple[Term, ...]
    lengths: Lengths

    @classmethod
    def of(cls, term: Term) -> Within:
        """What a line prints, of which a part is looked for."""
        return cls(tuple(_flat(term)), term.lengths)

    def narrow(self, read: Template | None, among: Candidates) -> Iterator[Candidates]:
        """The candidates with what was read somewhere in the line, once for each place.

        A place is told by the term that the first character stands in, and where it stands there.
        """
        if not read:
            yield from _unread(self.terms, among)
            return
        for index in range(len(self.terms)):
            for before in _unread(self.terms[:index], among):
                yield from self._begun(index, read, before)

    def _begun(self, index: int, read: Template, among: Candidates) -> Iterator[Candidates]:
        """The candidates with the first character in this term."""
        term = self.terms[index]
        for length in sorted(term.lengths):
            for unread in range(length):
                own, rest = _split(any_of(unread) + read, length)
                for left in term.narrow(own, among):
                    yield from self._goes_on(index + 1, rest, left)

    def _goes_on(self, index: int, read: Template, among: Candidates) -> Iterator[Candidates]:
        """The candidates with what is left of what was read at the beginning of this term."""
        if not read:
            yield from _unread(self.terms[index:], among)
            return
        if index == len(self.terms):
            return
        for length in sorted(self.terms[index].lengths):
            own, rest = _split(read, length)
            for left in self.terms[index].narrow(own, among):
                yield from self._goes_on(index + 1, rest, left)


def _split(read: Template, length: int) -> tuple[Template, Template]:
    """What was read of a text of this length, and what goes on behind it."""
    return read[:length] + any_of(length - len(read)), read[length:]


def _unread(terms: Sequence[Term], among: Candidates) -> Iterator[Candidates]:
    """The candidates that print anything with some terms."""
    if not terms:
        yield among
        return
    for left in terms[0].narrow(None, among):
        yield from _unread(terms[1:], left)


def _flat(term: Term) -> Iterator[Term]:
    """A term as parts that are not joined ones."""
    if isinstance(term, Joined):
        for below in term.terms:
            yield from _flat(below)
    else:
        yield term

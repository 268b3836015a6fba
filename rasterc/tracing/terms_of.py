"""From the pieces of a plan to terms, over one timeline."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

import numpy as np
from msgspec import structs

from rasterc.domain.atoms import (
    Atom,
    Kind,
    Literal,
    Variable,
    Varying,
    Whole,
    atoms_of,
    features_of,
)
from rasterc.domain.counterwords import CounterWords
from rasterc.domain.inputwords import InputWords, ListedWords, input_words
from rasterc.domain.printer import Goes, Printer
from rasterc.domain.timeline import Timeline
from rasterc.domain.words import Words
from rasterc.tracing.checked import is_sure
from rasterc.tracing.compound_terms import Changed, CheckTerm, Joined, WordsTerm
from rasterc.tracing.dated import Dates
from rasterc.tracing.terms import ByCell, ByMinute, BySecond, Fixed, Leaf, Term, Texts, tabulated
from rasterc.values.dates.parts import Shows
from rasterc.values.dates.patterns import Part, Pattern
from rasterc.values.fields.kinds import (
    CheckText,
    ClockText,
    CounterText,
    FieldPlan,
    InputText,
    JoinedText,
    Piece,
)
from rasterc.values.fields.options import Lower, NoPoints, Option, Pad, Upper
from rasterc.values.plan import Plan


class TermMaker:
    """Makes the terms of a plan's pieces over a timeline."""

    def __init__(self, plan: Plan, line: Timeline) -> None:
        self.plan = plan
        self.printer = Printer(plan, line)
        self.dates = Dates(plan, line)
        self._words: dict[Variable, CounterWords | InputWords | ListedWords] = {}

    @property
    def line(self) -> Timeline:
        """The timeline."""
        return self.printer.timeline

    def joined(self, pieces: Iterable[Piece], options: tuple[Option, ...] = ()) -> Term:
        """The term of pieces one after another, with options applied to the whole.

        Options that change each character on its own are applied to each piece instead.
        """
        own, rest = _characterwise(options)
        whole = self.of_atoms(atoms_of(self.plan, pieces, own))
        return Changed(whole, rest) if rest else whole

    def of_atoms(self, atoms: Iterable[Atom]) -> Term:
        """The term of atoms one after another."""
        terms = [term for atom in atoms for term in self._terms(atom)]
        return Joined(tuple(_without_needless_splits(terms)))

    def words(self, variable: Variable) -> CounterWords | InputWords | ListedWords:
        """The texts of a counter or an input."""
        if variable not in self._words:
            if variable.kind is Kind.COUNTER:
                counter = self.plan.message.counters[variable.name]
                self._words[variable] = CounterWords(counter, zeros=False)
            elif variable.name in self.plan.dates:
                self._words[variable] = self.dates.words(variable.name)
            else:
                self._words[variable] = input_words(self.plan.inputs[variable.name], None)
        return self._words[variable]

    def _terms(self, atom: Atom) -> Sequence[Term]:
        if isinstance(atom, Literal):
            return [Fixed(atom.text)]
        if isinstance(atom, Whole):
            field = atom.field
            date = self.dates.read_by(field)
            if date is not None:
                return [self.dates.term(atom, date)]
            match field.source:
                case CounterText(_, width, fill):
                    [variable] = atom.reads
                    options = (Pad(width, True, fill), *field.options)
                    return [WordsTerm(variable, self.words(variable), options)]
                case InputText():
                    [variable] = atom.reads
                    words = self.words(variable)
                    return [WordsTerm(variable, words, _without_needless(field.options, words))]
                case JoinedText(_, pieces):
                    return [self.joined(pieces, field.options)]
                case CheckText(_, algorithm, _):
                    return [CheckTerm(field, algorithm, is_sure(self.plan, field))]
        return self._of_clock(atom)

    def _of_clock(self, atom: Varying) -> Sequence[Term]:
        if self.printer.is_mixed(atom):
            assert isinstance(atom, Whole)
            return [self._mixed(atom.field)]
        goes, printed = self.printer.printed(atom)
        texts = Texts(printed.texts, printed.ids)
        if goes is Goes.CELL:
            return [ByCell(texts)]
        clock = features_of(atom)[0].of
        leaf = BySecond(texts) if goes is Goes.SECOND else ByMinute(texts, clock)
        return [*self._valid(clock), leaf]

    def _mixed(self, field: FieldPlan) -> Term:
        """A date pattern with date and time, cut into parts that go by the same."""
        source = field.source
        assert isinstance(source, ClockText)
        own, rest = _characterwise(field.options)
        patterns = map(Pattern, _groups(source.pattern.parts))
        parts = [
            structs.replace(field, source=structs.replace(source, pattern=p), options=own)
            for p in patterns
        ]
        return self.joined(parts, rest)

    def _valid(self, clock: str) -> Sequence[Term]:
        """An empty text where a clock is valid and none elsewhere; nothing if it is everywhere."""
        valid = self.line.clocks[clock].valid
        return [] if valid.all() else [ByCell(Texts(("",), np.where(valid, 0, -1)))]


def _without_needless_splits(terms: Iterable[Term]) -> Iterator[Term]:
    """Neighbours that go by the same made one where several of them vary in length: there are
    many ways to split what was read between them, and nothing is won by telling them apart."""
    run: list[Leaf | Fixed] = []
    for term in terms:
        if not isinstance(term, Leaf | Fixed):
            yield from _one_if_loose(run)
            yield term
            run = []
            continue
        leaf = next((one for one in run if isinstance(one, Leaf)), None)
        if isinstance(term, Leaf) and leaf is not None and leaf.goes_by != term.goes_by:
            yield from _one_if_loose(run)
            run = []
        run.append(term)
    yield from _one_if_loose(run)


def _one_if_loose(run: Sequence[Leaf | Fixed]) -> Iterator[Term]:
    if sum(len(term.lengths) > 1 for term in run) < 2:
        yield from run
        return
    leaves = [term for term in run if isinstance(term, Leaf)]

    def join(texts: Mapping[Leaf, str]) -> str:
        return "".join(texts[term] if isinstance(term, Leaf) else term.text for term in run)

    yield replace(leaves[0], texts=tabulated(leaves, join))


def _groups(parts: Sequence[Part]) -> list[tuple[Part, ...]]:
    """Neighbouring parts that go by the same; literal text goes with what stands before it."""
    lead = next((_goes(part) for part in parts if part.letter), Goes.CELL)
    kinds: list[Goes] = []
    for part in parts:
        kinds.append(_goes(part) if part.letter else kinds[-1] if kinds else lead)
    pairs = groupby(zip(kinds, parts, strict=True), key=lambda pair: pair[0])
    return [tuple(part for _, part in group) for _, group in pairs]


def _goes(part: Part) -> Goes:
    if part.shows is Shows.DAY:
        return Goes.CELL
    return Goes.SECOND if part.letter == "s" else Goes.MINUTE


def _characterwise(options: tuple[Option, ...]) -> tuple[tuple[Option, ...], tuple[Option, ...]]:
    """Leading options that change a text piece by piece just as they change it whole.

    So do cases, as the pieces of a code that stand side by side are not letters of one word, and
    taking out points.
    """
    count = 0
    while count < len(options) and isinstance(options[count], Upper | Lower | NoPoints):
        count += 1
    return options[:count], options[count:]


def _without_needless(options: tuple[Option, ...], words: Words) -> tuple[Option, ...]:
    """Options without `no-points` when the input has none at the beginning."""
    if words.allows("."):
        return options
    own, rest = _characterwise(options)
    return tuple(option for option in own if option != NoPoints()) + rest

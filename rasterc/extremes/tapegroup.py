"""The group of the fields of one counter or one input, searched character by character."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.extremes.atoms import Kind, Variable, Whole
from rasterc.extremes.group import HIGHEST, Assignment, Count
from rasterc.extremes.meter import Meter, Vectors
from rasterc.extremes.tape import Placed, Tape
from rasterc.extremes.words import CounterWords, State, Words
from rasterc.values.options import Option

Vector = tuple[int, ...]
Column = Mapping[str, Vector]
"""What each character adds at one place of the text; characters that cannot stand are missing."""

MAX_LISTED = 20_000  # texts that are listed to be counted


@dataclass(frozen=True, slots=True)
class Refused:
    """Texts of this length have no print, and why."""

    length: int
    diagnostic: Diagnostic


@dataclass(slots=True)
class TapeGroup:
    """All values of a counter or texts of an input, seen through the atoms that print it.

    Texts with characters that the fonts lack are left out, unless no others are there.
    """

    variable: Variable
    words: Words
    atoms: Sequence[Whole]
    unprintable: Meter
    refused: list[Refused] = field(default_factory=list)
    _lacking: bool = False
    _searches: dict[tuple[str, int, bool], _Search] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not len(self._search(self.unprintable, HIGHEST, lacking=False).vectors()):
            self._lacking = True
        self.refused += _refused(self.words, self.atoms)

    def vectors(self, meter: Meter, sense: int) -> Vectors:
        """See `group.Group`."""
        return self._of(meter, sense).vectors()

    def first(self, meter: Meter, sense: int, wanted: Vectors) -> tuple[Assignment, Vectors]:
        """See `group.Group`."""
        text, vector = self._of(meter, sense).first(wanted)
        return self.assign(text), np.array([vector], dtype=np.int64)

    def count(self) -> Count:
        """Distinct texts; when they are many and none is printed whole, at most that many."""
        number = self.words.count()
        if not self.atoms:
            return Count(1)
        if any(self._is_whole(atom) for atom in self.atoms):
            return Count(number)
        if number > MAX_LISTED:
            return Count(number, exact=False)
        return Count(len({self._printed(word) for word in self.words.texts()}))

    def assign(self, text: str) -> Assignment:
        """The assignment of a text to the variable."""
        return assign(self.variable, self.words, text)

    def _of(self, meter: Meter, sense: int) -> _Search:
        return self._search(meter, sense, self._lacking or meter is self.unprintable)

    def _search(self, meter: Meter, sense: int, lacking: bool) -> _Search:
        key = meter.name, sense, lacking
        if key not in self._searches:
            avoid = None if lacking else self.unprintable
            self._searches[key] = _Search(self.words, self.atoms, meter, sense, avoid)
        return self._searches[key]

    def _is_whole(self, atom: Whole) -> bool:
        """Whether an atom shows every place as it is, whatever the length."""
        for length in self.words.lengths():
            elements = Tape(length, frozenset(self.words.alphabet)).elements(atom)
            plain = {e.place for e in elements if isinstance(e, Placed) and not e.options}
            if len(plain) < length:
                return False
        return True

    def _printed(self, word: str) -> tuple[str, ...]:
        tape = Tape(len(word), frozenset(self.words.alphabet))
        return tuple(
            "".join(e if isinstance(e, str) else e.text(word[e.place]) for e in tape.elements(atom))
            for atom in self.atoms
        )


def assign(variable: Variable, words: Words, text: str) -> Assignment:
    """The assignment of one of its texts to a counter or input."""
    if variable.kind is Kind.COUNTER:
        assert isinstance(words, CounterWords)
        return Assignment(counters={variable.name: words.value(text)})
    return Assignment(inputs={variable.name: text})


def _refused(words: Words, atoms: Sequence[Whole]) -> Iterator[Refused]:
    for length in words.lengths():
        for atom in atoms:
            try:
                Tape(length, frozenset(words.alphabet)).elements(atom)
            except InputError as error:
                yield from (Refused(length, diagnostic) for diagnostic in error.diagnostics)


class _Search:
    """The vectors of one meter over all texts, by dynamic programming from their ends.

    With one slot only the best sum of each state is kept: nothing else can lead to the best.
    """

    def __init__(
        self, words: Words, atoms: Sequence[Whole], meter: Meter, sense: int, avoid: Meter | None
    ) -> None:
        self.words = words
        self.atoms = atoms
        self.meter = meter
        self.best = (max if sense == HIGHEST else min) if meter.slots == 1 else None
        self.avoid = avoid
        self._known: dict[tuple[State, int], frozenset[Vector]] = {}
        self._added: dict[tuple[int, str], frozenset[Vector]] = {}
        self._by_prints: dict[tuple[tuple[int, tuple[Option, ...]], ...], Column] = {}
        self._tails: dict[tuple[int, int], int] = {}
        self._lengths: dict[int, tuple[Vector, list[Column], list[int]]] = {}

    def vectors(self) -> Vectors:
        """Distinct vectors, ascending; the best alone with one slot."""
        found: set[Vector] = set()
        for length in self.words.lengths():
            setting = self._set(length)
            if setting is not None:
                base, columns, tails = setting
                rest = self._sums(self.words.start(length), columns, tails, 0)
                found |= {_plus(base, vector) for vector in rest}
        if self.best and found:
            found = {self.best(found)}
        rows = np.array(sorted(found), dtype=np.int64)
        return rows.reshape(len(found), self.meter.slots)

    def first(self, wanted: Vectors) -> tuple[str, Vector]:
        """The first text that adds one of the wanted vectors, and that vector."""
        for length in self.words.lengths():
            setting = self._set(length)
            if setting is None:
                continue
            base, columns, tails = setting
            targets = {_minus(tuple(row), base) for row in wanted.tolist()}
            state = self.words.start(length)
            if targets & self._sums(state, columns, tails, 0):
                text, vector = self._walk(state, columns, tails, targets)
                return text, _plus(base, vector)
        raise AssertionError("the vectors wanted are among those found")

    def _walk(
        self, state: State, columns: list[Column], tails: list[int], targets: set[Vector]
    ) -> tuple[str, Vector]:
        text, vector = "", (0,) * self.meter.slots
        for place, column in enumerate(columns):
            moves = self.words.moves(state, len(columns) - place)
            to = {char: after for chars, after in moves for char in chars}
            for char in self.words.alphabet:
                if char not in to or char not in column:
                    continue
                rest = {_minus(target, column[char]) for target in targets}
                rest &= self._sums(to[char], columns, tails, place + 1)
                if rest:
                    text, state, targets = text + char, to[char], rest
                    vector = _plus(vector, column[char])
                    break
        return text, vector

    def _sums(
        self, state: State, columns: list[Column], tails: list[int], place: int
    ) -> frozenset[Vector]:
        """What the text can add from a place on. ``tails`` tells equal remainders of columns."""
        left = len(columns) - place
        if left == 0:
            zero = (0,) * self.meter.slots
            return frozenset([zero] if self.words.ends(state) else [])
        key = state, tails[place]
        if key not in self._known:
            found: set[Vector] = set()
            for chars, to in self.words.moves(state, left):
                rest = self._sums(to, columns, tails, place + 1)
                if rest:
                    for added in self._adding(columns[place], chars):
                        found |= {_plus(added, vector) for vector in rest}
            self._known[key] = frozenset([self.best(found)] if self.best and found else found)
        return self._known[key]

    def _adding(self, column: Column, chars: str) -> frozenset[Vector]:
        """The distinct vectors that characters add at a place."""
        key = id(column), chars
        if key not in self._added:
            found = {column[char] for char in chars if char in column}
            self._added[key] = frozenset([self.best(found)] if self.best and found else found)
        return self._added[key]

    def _set(self, length: int) -> tuple[Vector, list[Column], list[int]] | None:
        """What is always added at this length, the columns, and a number for each remainder."""
        if length not in self._lengths:
            try:
                base, columns = self._weigh(length)
            except InputError:
                return None
            tails, tail = [], 0
            for column in reversed(columns):
                tail = self._tails.setdefault((id(column), tail), len(self._tails) + 1)
                tails.append(tail)
            self._lengths[length] = base, columns, tails[::-1]
        return self._lengths[length]

    def _weigh(self, length: int) -> tuple[Vector, list[Column]]:
        tape = Tape(length, frozenset(self.words.alphabet))
        base = [0] * self.meter.slots
        prints: list[list[tuple[int, tuple[Option, ...]]]] = [[] for _ in range(length)]
        for atom in self.atoms:
            for element in tape.elements(atom):
                if isinstance(element, str):
                    base[self.meter.slot[atom.line]] += self.meter.weigh(atom.line, element)
                else:
                    prints[element.place].append((atom.line, element.options))
        return tuple(base), [self._column(tuple(lines)) for lines in prints]

    def _column(self, prints: tuple[tuple[int, tuple[Option, ...]], ...]) -> Column:
        """What each character adds that is printed in these lines, after these options."""
        if prints not in self._by_prints:
            column: dict[str, Vector] = {}
            for char in self.words.alphabet:
                texts = [(line, Placed(0, options).text(char)) for line, options in prints]
                if self.avoid is None or not any(self.avoid.weigh(*text) for text in texts):
                    added = [0] * self.meter.slots
                    for line, text in texts:
                        added[self.meter.slot[line]] += self.meter.weigh(line, text)
                    column[char] = tuple(added)
            self._by_prints[prints] = column
        return self._by_prints[prints]


def _plus(some: Vector, more: Vector) -> Vector:
    return tuple(a + b for a, b in zip(some, more, strict=True))


def _minus(some: Vector, less: Vector) -> Vector:
    return tuple(a - b for a, b in zip(some, less, strict=True))

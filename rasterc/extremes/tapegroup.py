"""The group of the fields of one counter or one input, searched character by character."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.extremes.atoms import Variable, Whole
from rasterc.extremes.group import HIGHEST, Assignment, Count
from rasterc.extremes.meter import Meter, Place, Vectors
from rasterc.extremes.tape import Element, Placed, Tape
from rasterc.extremes.words import CounterWords, OneLength, SomeTexts, State, Words
from rasterc.values.options import Option

Vector = tuple[int, ...]
Column = Mapping[str, Vector]
"""What each character adds at one place of the text; characters that cannot stand are missing."""

Shown = tuple[Place, tuple[Option, ...]]
"""Where a character of the text is printed, and the options it goes through."""

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
        if not self.atoms:
            return Count(1)
        number = self._search(self.unprintable, HIGHEST, self._lacking).count()
        if any(self._is_whole(atom) for atom in self.atoms):
            return Count(number)
        if self.words.count() > MAX_LISTED:
            return Count(number, exact=False)
        return Count(len(set(self._every_print())))

    def usable(self, length: int) -> frozenset[str]:
        """Characters of the texts of a length that are looked at."""
        return self._search(self.unprintable, HIGHEST, self._lacking).usable(length)

    def narrowed(self, words: OneLength | SomeTexts) -> TapeGroup | None:
        """The same for some of the texts; None when none of them can be printed."""
        some = TapeGroup(self.variable, words, self.atoms, self.unprintable)
        return some if some._lacking == self._lacking else None

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
            elements = self._elements(atom, length) or []
            plain = {e.place for e in elements if isinstance(e, Placed) and not e.options}
            if len(plain) < length:
                return False
        return True

    def _elements(self, atom: Whole, length: int) -> list[Element] | None:
        """What an atom prints of texts of a length; None when it has no print of them."""
        try:
            return Tape(length, frozenset(self.words.alphabet)).elements(atom)
        except InputError:
            return None

    def _every_print(self) -> Iterator[tuple[str, ...]]:
        """What the atoms print of each text that they can print."""
        prints = {n: [self._elements(a, n) for a in self.atoms] for n in self.words.lengths()}
        for word in self.words.texts():
            texts = [
                "".join(e if isinstance(e, str) else e.text(word[e.place]) for e in elements)
                for elements in prints[len(word)]
                if elements is not None
            ]
            if len(texts) == len(self.atoms) and self._can_print(texts):
                yield tuple(texts)

    def _can_print(self, texts: Sequence[str]) -> bool:
        pairs = zip(self.atoms, texts, strict=True)
        return self._lacking or not any(
            self.unprintable.weigh(Place(atom.line), text) for atom, text in pairs
        )


def assign(variable: Variable, words: Words, text: str) -> Assignment:
    """The assignment of one of its texts to a counter or input."""
    if isinstance(words, OneLength | SomeTexts) and words.words is not None:
        return assign(variable, words.words, text)
    if isinstance(words, CounterWords):
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
        self._by_prints: dict[tuple[Shown, ...], Column] = {}
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

    def usable(self, length: int) -> frozenset[str]:
        """Characters that may stand somewhere in texts of a length."""
        setting = self._set(length)
        columns: list[Column] = setting[1] if setting else []
        return frozenset().union(*columns)

    def count(self) -> int:
        """How many texts there are."""
        known: dict[tuple[State, int], int] = {}

        def texts(state: State, columns: list[Column], tails: list[int], place: int) -> int:
            left = len(columns) - place
            if left == 0:
                return int(self.words.ends(state))
            key = state, tails[place]
            if key not in known:
                known[key] = sum(
                    sum(char in columns[place] for char in chars)
                    * texts(to, columns, tails, place + 1)
                    for chars, to in self.words.moves(state, left)
                )
            return known[key]

        lengths = [(length, self._set(length)) for length in self.words.lengths()]
        return sum(texts(self.words.start(n), s[1], s[2], 0) for n, s in lengths if s is not None)

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
        prints: list[list[Shown]] = [[] for _ in range(length)]
        for atom in self.atoms:
            for index, element in enumerate(tape.elements(atom)):
                place = self.meter.place(atom, index)
                if isinstance(element, str):
                    base[self.meter.slot[atom.line]] += self.meter.weigh(place, element)
                else:
                    prints[element.place].append((place, element.options))
        return tuple(base), [self._column(tuple(shown)) for shown in prints]

    def _column(self, prints: tuple[Shown, ...]) -> Column:
        """What each character adds that is printed at these places, after these options."""
        if prints not in self._by_prints:
            column: dict[str, Vector] = {}
            for char in self.words.alphabet:
                texts = [(place, Placed(0, options).text(char)) for place, options in prints]
                if self.avoid is None or not any(self.avoid.weigh(*text) for text in texts):
                    added = [0] * self.meter.slots
                    for place, text in texts:
                        added[self.meter.slot[place.line]] += self.meter.weigh(place, text)
                    column[char] = tuple(added)
            self._by_prints[prints] = column
        return self._by_prints[prints]


def _plus(some: Vector, more: Vector) -> Vector:
    return tuple(a + b for a, b in zip(some, more, strict=True))


def _minus(some: Vector, less: Vector) -> Vector:
    return tuple(a - b for a, b in zip(some, less, strict=True))

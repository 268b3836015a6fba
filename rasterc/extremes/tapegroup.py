"""The group of the fields of one counter or one input, searched character by character."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.domain.atoms import Variable, Whole
from rasterc.domain.counterwords import CounterWords
from rasterc.domain.inputwords import OneLength, SomeTexts
from rasterc.domain.words import Count, Words
from rasterc.extremes.group import HIGHEST, Assignment
from rasterc.extremes.meter import Meter, Place, Vectors
from rasterc.extremes.placesearch import PlaceSearch
from rasterc.extremes.tape import Element, Placed, Tape, Tapes

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
    tapes: Tapes = field(init=False)
    _lacking: bool = False
    _searches: dict[tuple[str, int, bool], PlaceSearch] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.tapes = Tapes(self.atoms, frozenset(self.words.alphabet))
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

    def forget(self, meter: Meter) -> None:
        """Let go of what was worked out for a meter."""
        for key in [key for key in self._searches if key[0] == meter.name]:
            del self._searches[key]

    def count(self) -> Count:
        """Distinct texts; when they are many and none is printed whole, at most that many."""
        if not self.atoms:
            return Count(1)
        printed = self._search(self.unprintable, HIGHEST, self._lacking).count()
        if any(self._is_whole(atom) for atom in self.atoms):
            return printed
        if self.words.count().number > MAX_LISTED:
            return Count(printed.number, exact=False)
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

    def _of(self, meter: Meter, sense: int) -> PlaceSearch:
        return self._search(meter, sense, self._lacking or meter is self.unprintable)

    def _search(self, meter: Meter, sense: int, lacking: bool) -> PlaceSearch:
        key = meter.name, sense, lacking
        if key not in self._searches:
            avoid = None if lacking else self.unprintable
            self._searches[key] = PlaceSearch(self.words, self.tapes, meter, sense, avoid)
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
    if isinstance(words, OneLength | SomeTexts):
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

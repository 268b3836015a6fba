"""The texts of a field that does not go by the time, spelled character by character."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Variable, Whole
from rasterc.domain.texts import Shape
from rasterc.domain.words import Words
from rasterc.extremes.group import Assignment
from rasterc.extremes.tape import Element, NotPlacedError, Placed, Tape
from rasterc.extremes.tapegroup import assign
from rasterc.values.given.automaton import States

State = Hashable


class Spelling(Protocol):
    """All texts of a field, or more than those. A state is any value that can be a key."""

    @property
    def starts(self) -> Iterable[State]:
        """The states before the first character."""

    def moves(self, state: State, /) -> Iterable[tuple[str, State]]:
        """Characters that may come next, as strings of those that lead to the same state."""

    def ends(self, state: State, /) -> bool:
        """Whether a text may end here."""

    def assigned(self, text: str, /) -> Assignment:
        """Values that print a text, as far as they can be told."""


@dataclass(frozen=True, slots=True)
class OfShape:
    """Any text of a shape: more than the field can print."""

    shape: Shape

    @property
    def starts(self) -> Iterable[State]:
        """See `Spelling`."""
        return (0,)

    def moves(self, state: State) -> Iterable[tuple[str, State]]:
        """See `Spelling`."""
        assert isinstance(state, int)
        if state < len(self.shape.places):
            yield "".join(sorted(self.shape.places[state])), state + 1

    def ends(self, state: State) -> bool:
        """See `Spelling`."""
        assert isinstance(state, int)
        return state >= self.shape.least

    def assigned(self, _: str) -> Assignment:
        """See `Spelling`: it cannot be told."""
        return Assignment()


@dataclass(frozen=True, slots=True)
class _At:
    """How far a text is spelled: the length of the word in it, elements done, the word's states."""

    length: int
    done: int
    states: States


@dataclass(frozen=True, slots=True)
class OfWords:
    """A counter or an input printed whole, perhaps filled up or among other text.

    ``elements`` are what is printed of words of each length: text, and every place in order.
    """

    variable: Variable
    words: Words
    elements: Mapping[int, tuple[Element, ...]] = field(hash=False)

    @property
    def starts(self) -> Iterable[State]:
        """See `Spelling`."""
        return [_At(length, 0, 1 << self.words.start(length)) for length in self.elements]

    def moves(self, state: State) -> Iterable[tuple[str, State]]:
        """See `Spelling`."""
        assert isinstance(state, _At)
        elements = self.elements[state.length]
        if state.done == len(elements):
            return
        element = elements[state.done]
        if isinstance(element, str):
            yield element, _At(state.length, state.done + 1, state.states)
            return
        left = state.length - element.place
        layer, can_end = self.words.layer(left), self.words.can_end(left - 1)
        for char, labels in layer.chars.items():
            after = layer.step(state.states, labels) & can_end
            if after:
                yield char, _At(state.length, state.done + 1, after)

    def ends(self, state: State) -> bool:
        """See `Spelling`."""
        assert isinstance(state, _At)
        done = state.done == len(self.elements[state.length])
        return done and bool(state.states & self.words.ends())

    def assigned(self, text: str) -> Assignment:
        """See `Spelling`; a text that two words print is taken for the shorter."""
        for length, elements in self.elements.items():
            if len(elements) == len(text) and all(
                isinstance(element, Placed) or element == char
                for element, char in zip(elements, text, strict=True)
            ):
                pairs = zip(elements, text, strict=True)
                word = "".join(char for element, char in pairs if isinstance(element, Placed))
                if length == len(word):
                    return assign(self.variable, self.words, word)
        return Assignment()


def spelling(atom: Whole, words: Words | None, shape: Shape) -> Spelling:
    """The texts of an atom: by the words of its one variable, if it shows them whole; else by
    its shape."""
    if words is not None and len(atom.reads) == 1:
        (variable,) = atom.reads
        elements = {
            n: e for n in words.lengths() if (e := _shown_whole(atom, words, n)) is not None
        }
        if len(elements) == len(list(words.lengths())):
            return OfWords(variable, words, elements)
    return OfShape(shape)


def _shown_whole(atom: Whole, words: Words, length: int) -> tuple[Element, ...] | None:
    """What an atom prints of words of a length, when it shows each place once and as it is."""
    try:
        elements = Tape(length, frozenset(words.alphabet)).elements(atom)
    except (InputError, NotPlacedError):
        return None
    places = [element for element in elements if isinstance(element, Placed)]
    plain = [place.place for place in places if not place.options]
    return tuple(elements) if plain == [*range(length)] and len(plain) == len(places) else None


def assigned(fields: Sequence[Spelling], texts: Sequence[str]) -> Assignment | None:
    """The values that print these texts; None when two fields contradict each other."""
    whole = Assignment()
    for spelled, text in zip(fields, texts, strict=True):
        one = spelled.assigned(text)
        if any(whole.counters.get(name, n) != n for name, n in one.counters.items()):
            return None
        if any(whole.inputs.get(name, t) != t for name, t in one.inputs.items()):
            return None
        whole = whole.joined(one)
    return whole

"""The texts an input can have: by its pattern, or one by one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from unicodedata import combining

from rasterc.extremes.words import State, Words
from rasterc.source.words import composed
from rasterc.values.automaton import Automaton
from rasterc.values.characters import is_printable
from rasterc.values.inputs import InputRule
from rasterc.values.regex import CharSet

MAX_RANGE = 4096  # characters of one range of an input pattern that are looked at one by one


@dataclass(slots=True)
class InputWords:
    """The texts of an input over the characters that are looked at.

    Attributes:
        alphabet: those characters, in order of code points.
        whole: whether the input has no texts with other characters.
    """

    rule: InputRule
    alphabet: tuple[str, ...]
    whole: bool
    _classes: tuple[str, ...] = ()
    _lengths: tuple[int, ...] = ()
    _next: dict[tuple[State, str], State] = field(default_factory=dict)

    def __post_init__(self) -> None:
        by_sets: dict[tuple[bool, ...], str] = {}
        sets = _charsets(self.rule.automaton)
        for char in self.alphabet:
            key = tuple(char in chars for chars in sets)
            by_sets[key] = by_sets.get(key, "") + char
        self._classes = tuple(by_sets.values())
        self._lengths = tuple(self._find_lengths())

    def _find_lengths(self) -> Iterator[int]:
        """Lengths of which there are texts."""
        states = {self.start()}
        for length in range(self.rule.max_length + 1):
            if length >= (self.rule.input.min_length or 0) and any(map(self.ends, states)):
                yield length
            states = {to for state in states for _, to in self.moves(state)}

    def lengths(self) -> Iterable[int]:
        """See `Words`."""
        return self._lengths

    def start(self, _: int = 0) -> State:
        """See `Words`."""
        return None if self.rule.automaton is None else self.rule.automaton.begin()

    def moves(self, state: State, _: int = 0) -> Iterable[tuple[str, State]]:
        """See `Words`."""
        automaton = self.rule.automaton
        if automaton is None:
            yield from ((chars, None) for chars in self._classes)
            return
        for chars in self._classes:
            key = state, chars
            if key not in self._next:
                assert isinstance(state, frozenset)
                self._next[key] = automaton.step(state, chars[0])
            if self._next[key]:
                yield chars, self._next[key]

    def ends(self, state: State) -> bool:
        """See `Words`."""
        automaton = self.rule.automaton
        return automaton is None or automaton.accepts(state)  # type: ignore[arg-type]

    def count(self) -> int:
        """See `Words`."""
        known: dict[tuple[State, int], int] = {}

        def texts(state: State, left: int) -> int:
            if left == 0:
                return int(self.ends(state))
            if (state, left) not in known:
                known[state, left] = sum(
                    len(chars) * texts(to, left - 1) for chars, to in self.moves(state, left)
                )
            return known[state, left]

        return sum(texts(self.start(length), length) for length in self.lengths())

    def texts(self) -> Iterator[str]:
        """See `Words`."""

        def rest(state: State, left: int) -> Iterator[str]:
            if left == 0:
                if self.ends(state):
                    yield ""
                return
            to = {char: after for chars, after in self.moves(state, left) for char in chars}
            for char in sorted(to):
                for text in rest(to[char], left - 1):
                    yield char + text

        for length in self.lengths():
            yield from rest(self.start(length), length)


@dataclass(slots=True)
class ChoiceWords:
    """A few texts, one by one."""

    choices: tuple[str, ...]
    whole: bool = True

    @property
    def alphabet(self) -> tuple[str, ...]:
        """See `Words`."""
        return tuple(sorted(set("".join(self.choices))))

    def lengths(self) -> Iterable[int]:
        """See `Words`."""
        return sorted({len(text) for text in self.choices})

    def start(self, length: int) -> State:
        """See `Words`."""
        return tuple(text for text in self.choices if len(text) == length)

    def moves(self, state: State, _: int = 0) -> Iterable[tuple[str, State]]:
        """See `Words`."""
        assert isinstance(state, tuple)
        for char in sorted({text[0] for text in state}):
            yield char, tuple(text[1:] for text in state if text[0] == char)

    def ends(self, _: State) -> bool:
        """See `Words`."""
        return True

    def count(self) -> int:
        """See `Words`."""
        return len(self.choices)

    def texts(self) -> Iterator[str]:
        """See `Words`."""
        return iter(self.choices)


@dataclass(slots=True)
class SomeTexts(ChoiceWords):
    """Some of the texts, all of one length."""

    words: Words | None = None

    @property
    def length(self) -> int:
        """The length of the texts."""
        return len(self.choices[0])


def input_words(rule: InputRule, printable: Iterable[str]) -> InputWords | ChoiceWords:
    """The texts of an input.

    A pattern such as ``.`` allows a hundred thousand characters: of those it does not name, only
    the ``printable`` ones are looked at.
    """
    if rule.input.choices:
        texts = sorted({composed(text) for text in rule.input.choices}, key=lambda t: (len(t), t))
        return ChoiceWords(tuple(text for text in texts if not rule.faults(text, None)))
    sets = _charsets(rule.automaton)
    chars = set(printable)
    whole = bool(sets) and not any(chosen.negated for chosen in sets)
    for first, last in (pair for chosen in sets if not chosen.negated for pair in chosen.ranges):
        end = min(ord(last), ord(first) + MAX_RANGE)
        whole = whole and end == ord(last)
        chars |= {chr(code) for code in range(ord(first), end + 1)}
    if sets:
        chars = {char for char in chars if any(char in chosen for chosen in sets)}
    kept = sorted(c for c in chars if is_printable(c) and composed(c) == c and not combining(c))
    return InputWords(rule, tuple(kept), whole)


def _charsets(automaton: Automaton | None) -> tuple[CharSet, ...]:
    if automaton is None:
        return ()
    return tuple(dict.fromkeys(move[0] for move in automaton.moves if move is not None))

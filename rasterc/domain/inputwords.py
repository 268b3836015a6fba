"""The texts an input can have: by its pattern, or one by one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from unicodedata import combining

from rasterc.domain.layers import Layer, SetLayer
from rasterc.domain.words import Count, Places, Words
from rasterc.source.quoting import composed
from rasterc.values.given.automaton import States
from rasterc.values.given.characters import is_printable
from rasterc.values.given.inputs import InputRule
from rasterc.values.given.regex import CharSet

MAX_OTHERS = 4096  # characters that a pattern names and the fonts lack, looked at one by one


class InputWords(Words):
    """The texts of an input over the characters that are looked at, over all if that is None.

    Attributes:
        whole: whether the input has no texts with other characters.
    """

    __slots__ = ("_alphabet", "_layer", "_lengths", "rule", "whole")

    def __init__(self, rule: InputRule, alphabet: tuple[str, ...] | None, whole: bool) -> None:
        super().__init__()
        self.rule, self._alphabet, self.whole = rule, alphabet, whole
        self._layer = _set_layer(rule) if alphabet is None else _layer(rule, alphabet)
        least, begin = rule.input.min_length or 0, 1 << self.start()
        stated = range(least, rule.max_length + 1)
        self._lengths = tuple(n for n in stated if self.can_end(n) & begin)

    @classmethod
    def of(cls, rule: InputRule, printable: Iterable[str]) -> InputWords:
        """The texts of an input without choices.

        A pattern such as ``.`` allows a hundred thousand characters: of those it does not name,
        only the ``printable`` ones are looked at, and of those it names `MAX_OTHERS` more at most.
        """
        if rule.automaton is None:
            return cls(rule, tuple(sorted(set(printable))), whole=False)
        sets = list(rule.automaton.moves)
        chars = {char for char in printable if any(char in chosen for chosen in sets)}
        others = list(islice((c for c in _named(sets) if c not in chars), MAX_OTHERS + 1))
        whole = len(others) <= MAX_OTHERS and not any(chosen.negated for chosen in sets)
        return cls(rule, tuple(sorted(chars.union(filter(stands_alone, others)))), whole)

    @property
    def alphabet(self) -> tuple[str, ...]:
        """Those characters, in order of code points."""
        assert self._alphabet is not None
        return self._alphabet

    def allows(self, char: str) -> bool:
        """See `Words`."""
        return bool(self._layer.labels_of(char))

    def places(self) -> tuple[frozenset[str], ...]:
        """See `Words`: as all lengths share their layers, all are gone through at once."""
        found: list[frozenset[str]] = []
        states, every = 1 << self.start(), range(len(self._layer.labels))
        for place in range(self._lengths[-1] if self._lengths else 0):
            wanted = 0
            for length in self._lengths:
                wanted |= self.can_end(length - place - 1) if length > place else 0
            leading = [label for label in every if self._layer.step(states, [label]) & wanted]
            found.append(frozenset().union(*(self._layer.labels[label] for label in leading)))
            states = self._layer.step(states, every)
        return tuple(found)

    def listing(self, template: Places) -> Iterator[str] | None:
        """See `Words`: with characters of no end where a place may have any."""
        read = frozenset[str]().union(*(place for place in template if place is not None))
        words = InputWords.of(self.rule, read)
        return words.fitting(template) if words.whole or None not in template else None

    def lengths(self) -> Sequence[int]:
        """See `Words`."""
        return self._lengths

    def start(self, _: int = 0) -> int:
        """See `Words`."""
        return 0

    def layer(self, _: int) -> Layer:
        """See `Words`: the same for every place."""
        return self._layer

    def ends(self) -> States:
        """See `Words`."""
        return 1 if self.rule.automaton is None else self.rule.automaton.ends


class ListedWords(Words):
    """A few texts, one by one; ``whole`` tells whether the variable has no others."""

    __slots__ = ("_alphabet", "_layers", "_lengths", "_starts", "listed", "whole")

    def __init__(self, listed: tuple[str, ...], whole: bool = True) -> None:
        super().__init__()
        self.listed, self.whole = listed, whole
        self._alphabet = tuple(sorted(set("".join(listed))))
        self._lengths = sorted({*map(len, listed)})
        self._starts: dict[int, int] = {}
        self._layers: dict[int, Layer] = {}

    @property
    def alphabet(self) -> tuple[str, ...]:
        """See `Words`."""
        return self._alphabet

    def lengths(self) -> Sequence[int]:
        """See `Words`."""
        return self._lengths

    def start(self, length: int) -> int:
        """See `Words`."""
        self._prepare()
        return self._starts[length]

    def layer(self, left: int) -> Layer:
        """See `Words`."""
        self._prepare()
        return self._layers[left]

    def _prepare(self) -> None:
        """Lay out the places; states are the beginnings of the texts of each length."""
        if self._layers:
            return
        states: dict[tuple[int, str], int] = {}
        for left in range(max(self.lengths(), default=0), -1, -1):
            if left == 0:
                self._starts[0] = 0  # all texts end in this state, an empty one begins in it too
            elif left in self.lengths():
                self._starts[left] = states.setdefault((left, ""), len(states))
            after: dict[tuple[int, str], int] = {}
            leads: dict[str, dict[int, States]] = {}
            for text in self.listed:
                if left and len(text) >= left:
                    begun, char = text[: len(text) - left], text[len(text) - left]
                    at = states[len(text), begun]
                    to = after.setdefault((len(text), begun + char), len(after))
                    leads.setdefault(char, {}).setdefault(at, 1 << (to if left > 1 else 0))
            self._layers[left] = Layer(len(states), tuple(leads), tuple(leads.values()))
            states = after

    def ends(self) -> States:
        """See `Words`."""
        return 1

    def count(self) -> Count:
        """See `Words`."""
        return Count(len(self.listed))

    def texts(self) -> Iterator[str]:
        """See `Words`."""
        return iter(self.listed)


class OneLength(Words):
    """The texts of one length only."""

    __slots__ = ("length", "words")

    def __init__(self, words: Words, length: int) -> None:
        super().__init__()
        self.words, self.length = words, length

    @property
    def alphabet(self) -> tuple[str, ...]:
        """See `Words`."""
        return self.words.alphabet

    def lengths(self) -> Sequence[int]:
        """See `Words`."""
        return (self.length,)

    def start(self, length: int) -> int:
        """See `Words`."""
        return self.words.start(length)

    def layer(self, left: int) -> Layer:
        """See `Words`."""
        return self.words.layer(left)

    def ends(self) -> States:
        """See `Words`."""
        return self.words.ends()


class SomeTexts(ListedWords):
    """Some texts of ``words``, all of one length."""

    __slots__ = ("words",)

    def __init__(self, listed: tuple[str, ...], words: Words) -> None:
        super().__init__(listed)
        self.words = words

    @property
    def length(self) -> int:
        """The length of the texts."""
        return len(self.listed[0])


def _layer(rule: InputRule, alphabet: Sequence[str]) -> Layer:
    automaton = rule.automaton
    if automaton is None:
        return Layer(1, ("".join(alphabet),), ({0: 1},))
    labels = ("".join(c for c in alphabet if c in chars) for chars in automaton.moves)
    return Layer(automaton.size, tuple(labels), tuple(automaton.moves.values()))


def _set_layer(rule: InputRule) -> SetLayer:
    if rule.automaton is None:
        return SetLayer(1, ("*",), ({0: 1},), (_Anything(),))
    moves = rule.automaton.moves
    return SetLayer(rule.automaton.size, ("*",) * len(moves), tuple(moves.values()), tuple(moves))


class _Anything:
    """Every character there is."""

    def __contains__(self, _: str) -> bool:
        return True


def input_words(rule: InputRule, printable: Iterable[str] | None) -> InputWords | ListedWords:
    """The texts of an input; see `InputWords.of` for one without choices.

    With None for the ``printable`` characters none is left out, and what needs them listed cannot
    be asked for.
    """
    if not rule.input.choices:
        return InputWords(rule, None, True) if printable is None else InputWords.of(rule, printable)
    return ListedWords(rule.texts)


def _named(sets: Iterable[CharSet]) -> Iterator[str]:
    """The characters that sets of a pattern name, each once, in order."""
    after = 0
    for first, last in sorted(p for chosen in sets if not chosen.negated for p in chosen.ranges):
        yield from map(chr, range(max(after, ord(first)), ord(last) + 1))
        after = max(after, ord(last) + 1)


def stands_alone(char: str) -> bool:
    """Whether a character can be printed on its own."""
    return is_printable(char) and composed(char) == char and not combining(char)

"""The automaton of an input pattern: linear in the text, whatever the pattern.

Glushkov's construction (V. M. Glushkov, The Abstract Theory of Automata, 1961): each place of the
pattern at which a character stands is followed by some others. Places that are followed by the
same ones are one state (L. Ilie, S. Yu, Follow automata, 2003), so there are no moves without a
character. Sets of states are the bits of a number, so nothing is tried twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from rasterc.values.given.regex import CharSet, Choice, Node, Repeat, Sequence

MAX_PLACES = 1000  # characters of a pattern, when its repeats are written out
MAX_MOVES = 20_000  # from each state to each other one

States = int
"""A set of states: bit s is set when state s is in it."""


@dataclass(frozen=True, slots=True)
class Automaton:
    """States 0, where texts begin, to ``size`` - 1.

    ``moves`` tells, for each set of characters, the states it leads to from each state that it
    leads on from; a text may end in ``ends``.
    """

    size: int
    moves: Mapping[CharSet, Mapping[int, States]]
    ends: States

    def begin(self) -> States:
        """The states before the first character."""
        return 1

    def step(self, states: States, char: str) -> States:
        """The states after one more character; empty when no text can go on so."""
        return self.over(states, [chars for chars in self.moves if char in chars])

    def over(self, states: States, sets: Iterable[CharSet]) -> States:
        """The states after one more character out of any of these sets of the pattern."""
        after = 0
        for chars in sets:
            leads = self.moves[chars]
            for state in members(states):
                after |= leads.get(state, 0)
        return after

    def sets_from(self, states: States) -> list[CharSet]:
        """The sets of characters that lead on from some of these states."""
        return [
            chars
            for chars, leads in self.moves.items()
            if any(states >> state & 1 for state in leads)
        ]

    def accepts(self, states: States) -> bool:
        """Whether a text that leads to ``states`` is matched."""
        return bool(self.ends & states)

    def matches(self, text: str) -> bool:
        """Whether the whole text is matched."""
        states = self.begin()
        for char in text:
            states = self.step(states, char)
            if not states:
                return False
        return self.accepts(states)


def members(states: States) -> Iterator[int]:
    """The states of a set, ascending.

    >>> list(members(0b10110))
    [1, 2, 4]
    """
    while states:
        lowest = states & -states
        yield lowest.bit_length() - 1
        states ^= lowest


class TooLargeError(Exception):
    """The pattern needs more than `MAX_PLACES` places or `MAX_MOVES` moves."""


def build_automaton(tree: Node) -> Automaton:
    """The automaton of a pattern's tree.

    Raises:
        TooLargeError: repeats within repeats make it too large.
    """
    builder = _Builder()
    whole = builder.build(tree)
    number = {(whole.first, whole.empty): 0}
    todo, moves, count = [(whole.first, whole.empty)], dict[CharSet, dict[int, States]](), 0
    for at, (follow, _) in enumerate(todo):
        leads: dict[CharSet, States] = {}
        for place in members(follow):
            after = builder.follow[place], bool(whole.last >> place & 1)
            if after not in number:
                number[after] = len(number)
                todo.append(after)
            chars = builder.sets[place]
            leads[chars] = leads.get(chars, 0) | 1 << number[after]
        count += sum(map(int.bit_count, leads.values()))
        if count > MAX_MOVES:
            raise TooLargeError
        for chars, to in leads.items():
            moves.setdefault(chars, {})[at] = to
    ends = sum(1 << at for (_, may_end), at in number.items() if may_end)
    return Automaton(len(number), moves, ends)


@dataclass(frozen=True, slots=True)
class _Part:
    """Places, as bits, that a text of a node can begin and end with; ``empty`` if with none."""

    first: int
    last: int
    empty: bool


_NOTHING = _Part(0, 0, True)


@dataclass(slots=True)
class _Builder:
    """``sets`` are the characters of each place, ``follow`` the places that can follow it."""

    sets: list[CharSet] = field(default_factory=list)
    follow: list[int] = field(default_factory=list)

    def build(self, node: Node) -> _Part:
        """Add the places of a node."""
        match node:
            case CharSet():
                return self.place(node)
            case Sequence(items):
                whole = _NOTHING
                for item in items:
                    whole = self.chain(whole, self.build(item))
                return whole
            case Choice(branches):
                return self.fork([self.build(branch) for branch in branches])
            case Repeat():
                return self.repeat(node)

    def place(self, chars: CharSet) -> _Part:
        if len(self.sets) == MAX_PLACES:
            raise TooLargeError
        self.sets.append(chars)
        self.follow.append(0)
        bit = 1 << len(self.sets) - 1
        return _Part(bit, bit, False)

    def join(self, last: int, first: int) -> None:
        for place in members(last):
            self.follow[place] |= first

    def chain(self, one: _Part, other: _Part) -> _Part:
        self.join(one.last, other.first)
        first = one.first | other.first if one.empty else one.first
        last = other.last | one.last if other.empty else other.last
        return _Part(first, last, one.empty and other.empty)

    @staticmethod
    def fork(parts: list[_Part]) -> _Part:
        first = last = 0
        for part in parts:
            first, last = first | part.first, last | part.last
        return _Part(first, last, any(part.empty for part in parts))

    def repeat(self, node: Repeat) -> _Part:
        """``least`` copies that must be passed, then copies that may be left out, or a loop."""
        part = self.build(node.item)
        if not part.first:  # nothing to repeat
            return part
        most = max(1, node.least) if node.most is None else node.most
        if most == 0:
            return _NOTHING
        copies = [part, *(self.build(node.item) for _ in range(most - 1))]
        if node.most is None:
            self.join(copies[-1].last, copies[-1].first)
        whole = _NOTHING
        for copy in reversed(copies[node.least :]):
            chained = self.chain(copy, whole)
            whole = _Part(chained.first, chained.last, True)
        for copy in reversed(copies[: node.least]):
            whole = self.chain(copy, whole)
        return whole

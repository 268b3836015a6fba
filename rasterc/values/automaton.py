"""The automaton of an input pattern: linear in the text, whatever the pattern.

Thompson's construction (K. Thompson, Regular Expression Search Algorithm, 1968): states joined by
moves over a character, or free moves. Sets of states are followed, so nothing is tried twice.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from rasterc.values.regex import CharSet, Choice, Node, Repeat, Sequence

MAX_STATES = 4096

States = frozenset[int]


@dataclass(frozen=True, slots=True)
class Automaton:
    """States 0 to n - 1. ``moves[s]`` is the characters a state takes and where it goes, or None;
    ``free[s]`` are the states reached from it without a character."""

    moves: tuple[tuple[CharSet, int] | None, ...]
    free: tuple[tuple[int, ...], ...]
    start: int
    accept: int

    def begin(self) -> States:
        """The states before the first character."""
        return self._closed([self.start])

    def step(self, states: States, char: str) -> States:
        """The states after one more character; empty when no text can go on so."""
        moves = (self.moves[state] for state in states)
        return self._closed([to for chars, to in filter(None, moves) if char in chars])

    def accepts(self, states: States) -> bool:
        """Whether a text that leads to ``states`` is matched."""
        return self.accept in states

    def matches(self, text: str) -> bool:
        """Whether the whole text is matched."""
        states = self.begin()
        for char in text:
            states = self.step(states, char)
            if not states:
                return False
        return self.accepts(states)

    def _closed(self, todo: list[int]) -> States:
        """``todo`` and everything that free moves reach from there."""
        seen = set(todo)
        while todo:
            for state in self.free[todo.pop()]:
                if state not in seen:
                    seen.add(state)
                    todo.append(state)
        return frozenset(seen)


class TooManyStatesError(Exception):
    """The pattern needs more than `MAX_STATES` states."""


def build_automaton(tree: Node) -> Automaton:
    """The automaton of a pattern's tree.

    Raises:
        TooManyStatesError: repeats within repeats make it too large.
    """
    builder = _Builder()
    start, accept = builder.build(tree)
    free = tuple(tuple(targets) for targets in builder.free)
    return Automaton(tuple(builder.moves), free, start, accept)


@dataclass(slots=True)
class _Builder:
    moves: list[tuple[CharSet, int] | None] = field(default_factory=list)
    free: list[list[int]] = field(default_factory=list)

    def state(self) -> int:
        if len(self.moves) == MAX_STATES:
            raise TooManyStatesError
        self.moves.append(None)
        self.free.append([])
        return len(self.moves) - 1

    def build(self, node: Node) -> tuple[int, int]:
        """Add the states of a node; its first and last state."""
        match node:
            case CharSet():
                first, last = self.state(), self.state()
                self.moves[first] = (node, last)
                return first, last
            case Sequence(items):
                return self.chain(list(items))
            case Choice(branches):
                return self.fork(branches)
            case Repeat():
                return self.repeat(node)

    def chain(self, nodes: list[Node]) -> tuple[int, int]:
        first = last = self.state()
        for node in nodes:
            begin, end = self.build(node)
            self.free[last].append(begin)
            last = end
        return first, last

    def fork(self, branches: tuple[Node, ...]) -> tuple[int, int]:
        first, last = self.state(), self.state()
        for branch in branches:
            begin, end = self.build(branch)
            self.free[first].append(begin)
            self.free[end].append(last)
        return first, last

    def repeat(self, node: Repeat) -> tuple[int, int]:
        """``least`` copies that must be passed, then copies that may be skipped, or a loop."""
        first, at = self.chain([node.item] * node.least)
        last = self.state()
        for _ in range(1 if node.most is None else node.most - node.least):
            begin, end = self.build(node.item)
            self.free[at] += [begin, last]
            if node.most is None:
                self.free[end].append(at)
            at = end
        self.free[at].append(last)
        return first, last

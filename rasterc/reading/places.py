"""What can stand at each place of the texts that an input's pattern matches."""

from __future__ import annotations

from dataclasses import dataclass

from rasterc.values.automaton import Automaton
from rasterc.values.characters import is_printable
from rasterc.values.regex import CharSet

_MAX_RANGE = 1_000  # characters of a pattern's range that are listed


@dataclass(frozen=True, slots=True)
class Places:
    """The lengths of the matched texts, and the characters of each place up to the longest."""

    lengths: tuple[int, ...]
    chars: tuple[frozenset[str], ...]


@dataclass(frozen=True, slots=True)
class _Edge:
    """A move over ``chars``: the moves that can follow it, and whether the text may end."""

    chars: frozenset[str]
    then: frozenset[int]
    ends: bool


def places(automaton: Automaton, least: int, most: int, carried: frozenset[str]) -> Places:
    """The places of the texts of ``least`` to ``most`` characters that the automaton matches.

    Sets that hold any character but a few are taken to hold those of ``carried``.
    """
    edges = _edges(automaton, carried)
    first = frozenset(state for state in automaton.begin() if state in edges)
    before = [first]  # the moves over each place
    after = [frozenset(state for state, edge in edges.items() if edge.ends)]  # so many to go
    for _ in range(most - 1):
        before.append(frozenset[int]().union(*(edges[state].then for state in before[-1])))
        after.append(frozenset(s for s, edge in edges.items() if edge.then & after[-1]))
    lengths = [n for n in range(max(1, least), most + 1) if first & after[n - 1]]
    found = [
        frozenset[str]().union(
            *(
                edges[state].chars
                for length in lengths
                if length > place
                for state in before[place] & after[length - place - 1]
            )
        )
        for place in range(max(lengths, default=0))
    ]
    if least == 0 and automaton.accepts(automaton.begin()):
        lengths.insert(0, 0)
    return Places(tuple(lengths), tuple(found))


def _edges(automaton: Automaton, carried: frozenset[str]) -> dict[int, _Edge]:
    """The moves over characters, by the state they leave."""
    edges: dict[int, _Edge] = {}
    for state, move in enumerate(automaton.moves):
        if move is None:
            continue
        chars, to = _listed(move[0], carried), _freely(automaton, move[1])
        if chars or move[0].negated:
            moves_on = frozenset(s for s in to if automaton.moves[s] is not None)
            edges[state] = _Edge(chars, moves_on, automaton.accept in to)
    return {s: _Edge(e.chars, e.then & edges.keys(), e.ends) for s, e in edges.items()}


def _freely(automaton: Automaton, state: int) -> set[int]:
    """The state and all that are reached from it without a character."""
    seen, todo = {state}, [state]
    while todo:
        fresh = set(automaton.free[todo.pop()]) - seen
        seen |= fresh
        todo += fresh
    return seen


def _listed(chars: CharSet, carried: frozenset[str]) -> frozenset[str]:
    if chars.negated or sum(ord(z) - ord(a) + 1 for a, z in chars.ranges) > _MAX_RANGE:
        return frozenset(c for c in carried if c in chars)
    codes = (range(ord(a), ord(z) + 1) for a, z in chars.ranges)
    return frozenset(c for codes_ in codes for c in map(chr, codes_) if is_printable(c))

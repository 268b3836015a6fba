"""The moves of an automaton over one place of a text."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from rasterc.values.given.automaton import States, members
from rasterc.values.given.characters import is_printable


@dataclass(frozen=True, slots=True)
class Edges:
    """The moves of a layer, from each state of ``sources`` those from ``first`` on.

    ``label`` and ``to`` tell over which label each move goes, and to which state.
    """

    sources: NDArray[np.intp]
    first: NDArray[np.intp]
    label: NDArray[np.intp]
    to: NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Layer:
    """The moves over one place.

    Attributes:
        size: how many states there are before it.
        labels: strings of characters, which may share some.
        leads: for each label, the states it leads to from each state that it leads on from.
    """

    size: int
    labels: tuple[str, ...]
    leads: tuple[Mapping[int, States], ...]

    def step(self, states: States, labels: Collection[int]) -> States:
        """The states after a character that these labels have."""
        after = 0
        for label in labels:
            leads = self.leads[label]
            for state in members(states):
                after |= leads.get(state, 0)
        return after

    def back(self, states: States, labels: Iterable[int] | None = None) -> States:
        """The states from which a character of these labels, or any, leads to one of ``states``."""
        bits = bytearray(self.size // 8 + 1)
        onward = [self._onward] if labels is None else [self.leads[label] for label in labels]
        for leads in onward:
            for state, to in leads.items():
                if to & states:
                    bits[state >> 3] |= 1 << (state & 7)
        return int.from_bytes(bits, "little")

    def labels_of(self, chars: Iterable[str]) -> set[int]:
        """The labels that have one of some characters."""
        return {label for char in chars for label in self.chars.get(char, ())}

    @cached_property
    def _onward(self) -> Mapping[int, States]:
        """The states that any character leads to, from each that one leads on from."""
        onward: dict[int, States] = {}
        for label, leads in zip(self.labels, self.leads, strict=True):
            for state, to in leads.items() if label else ():
                onward[state] = onward.get(state, 0) | to
        return onward

    @cached_property
    def chars(self) -> Mapping[str, tuple[int, ...]]:
        """The characters, in order, and the labels that have each."""
        found: dict[str, tuple[int, ...]] = {}
        for number, label in enumerate(self.labels):
            for char in label:
                found[char] = (*found.get(char, ()), number)
        return dict(sorted(found.items()))

    @cached_property
    def edges(self) -> Edges:
        """The moves as arrays."""
        moves = sorted(
            (state, label, to)
            for label, leads in enumerate(self.leads)
            for state, after in leads.items()
            for to in members(after)
        )
        table = np.array(moves, dtype=np.intp).reshape(-1, 3)
        sources, first = np.unique(table[:, 0], return_index=True)
        return Edges(sources, first, table[:, 1], table[:, 2])


class Chars(Protocol):
    """A set of characters."""

    def __contains__(self, char: str, /) -> bool: ...


@dataclass(frozen=True, eq=False)
class SetLayer(Layer):
    """The moves over one place by sets of characters that need not have an end.

    ``labels`` only stand for the sets: characters cannot be listed.
    """

    sets: tuple[Chars, ...]

    def labels_of(self, chars: Iterable[str]) -> set[int]:
        """See `Layer`; of characters that cannot be printed none."""
        printed = list(filter(is_printable, chars))
        return {n for n, some in enumerate(self.sets) if any(char in some for char in printed)}

"""Atoms by the variables that they tie together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rasterc.domain.atoms import Variable, Varying, reads_of


@dataclass(frozen=True, slots=True)
class Component:
    """Variables that some atoms tie together, and all atoms that read them."""

    variables: frozenset[Variable]
    atoms: tuple[Varying, ...]


def components_of(atoms: Iterable[Varying], ties: Iterable[frozenset[Variable]]) -> list[Component]:
    """Atoms by the variables that they, or some ties, tie together."""
    parts: list[tuple[frozenset[Variable], tuple[Varying, ...]]] = []
    tying: list[tuple[frozenset[Variable], tuple[Varying, ...]]] = [(tie, ()) for tie in ties]
    for reads, own in (*tying, *((reads_of(atom), (atom,)) for atom in atoms)):
        mine: tuple[Varying, ...] = ()
        apart = []
        for variables, members in parts:
            if variables & reads:
                reads, mine = reads | variables, mine + members
            else:
                apart.append((variables, members))
        parts = [*apart, (reads, (*mine, *own))]
    return [Component(variables, members) for variables, members in parts]

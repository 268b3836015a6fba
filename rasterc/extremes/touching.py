"""Fields that touch: where one ends cannot always be told, so other values may print the same.

A line tells where its fields end by characters that only its literals have, and by fields of one
length, counted from either side. What is left between two such places and holds more than one
field of varying length is a *touching* stretch: its text has to be compared as a whole.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from rasterc.domain.atoms import Atom, Literal


@dataclass(frozen=True, slots=True)
class Extent:
    """Lengths of the texts of an atom, and the characters in them; None for any."""

    least: int
    most: int
    chars: frozenset[str] | None


def extent_of_texts(texts: Collection[str]) -> Extent:
    """The extent of some texts."""
    lengths = [len(text) for text in texts]
    return Extent(min(lengths), max(lengths), frozenset("".join(texts)))


Extents = Mapping[Atom, Extent]


def texts_read(atoms: Iterable[Atom], names: Collection[str]) -> list[tuple[Atom, ...]]:
    """The texts that a reader sees: the lines, or of each line what belongs to fields of these
    names, made one text where it stands side by side."""

    wanted = frozenset(names)

    def key(atom: Atom) -> tuple[int, bool]:
        return atom.line, not wanted or not wanted.isdisjoint(atom.names)

    return [tuple(text) for (_, chosen), text in groupby(atoms, key) if chosen]


def touching(text: Sequence[Atom], extents: Extents) -> Iterator[tuple[Atom, ...]]:
    """The stretches of a text whose fields cannot be told apart, each with the literals within."""
    for part in _between_marks(text, extents):
        varies = [index for index, atom in enumerate(part) if _varies(atom, extents)]
        if len(varies) > 1:  # what stands before the first and after the last has one length
            yield tuple(part[varies[0] : varies[-1] + 1])


def is_clear(text: Sequence[Atom], extents: Extents) -> bool:
    """Whether a text tells where its fields end."""
    return next(touching(text, extents), None) is None


def _varies(atom: Atom, extents: Extents) -> bool:
    return atom in extents and extents[atom].least < extents[atom].most


def _between_marks(text: Sequence[Atom], extents: Extents) -> Iterator[list[Atom]]:
    """The stretches of a text between characters that only its literals have."""
    known = [extents[atom].chars for atom in text if atom in extents]
    chars = None if None in known else frozenset[str]().union(*(c for c in known if c is not None))
    part: list[Atom] = []
    for atom in text:
        marks = (
            [i for i, char in enumerate(atom.text) if char not in chars]
            if isinstance(atom, Literal) and chars is not None
            else []
        )
        if not marks or not isinstance(atom, Literal):
            part.append(atom)
            continue
        yield [*part, Literal(atom.line, atom.text[: marks[0]])]
        part = [Literal(atom.line, atom.text[marks[-1] + 1 :])]
    yield part

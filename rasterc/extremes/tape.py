"""Fields of one counter or input as a tape: which places of its text each prints.

For a text of a known length, ``case(0000, last 2)`` prints places 2 and 3 of a padded number. The
weight of the text is then a sum over its places, whatever stands there, and can be searched place
by place instead of value by value.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import Whole
from rasterc.values.fields.kinds import CounterText, FieldPlan, InputText, JoinedText
from rasterc.values.fields.options import First, Last, Lower, NoPoints, Option, Pad, Part, Upper
from rasterc.values.model import Run


class NotPlacedError(Exception):
    """What a field prints does not go place by place."""


@dataclass(frozen=True, slots=True)
class Placed:
    """The character at a place of the text, after options such as ``upper``."""

    place: int
    options: tuple[Option, ...] = ()

    def text(self, char: str) -> str:
        """What is printed when ``char`` stands there."""
        for option in self.options:
            char = option.apply(char)
        return char


Element = str | Placed
"""A character that is always printed, or a place of the text."""


@dataclass(frozen=True, slots=True)
class Tape:
    """Fields of one variable whose text has ``length`` characters out of ``alphabet``."""

    length: int
    alphabet: frozenset[str]

    def elements(self, atom: Whole) -> list[Element]:
        """What an atom prints.

        Raises:
            NotPlacedError: it cannot be told place by place.
            InputError: an option asks for more characters than there are.
        """
        return self._field(atom.field)

    def _field(self, field: FieldPlan) -> list[Element]:
        elements = self._source(field)
        for option in field.options:
            elements = self._after(option, elements)
        return elements

    def _source(self, field: FieldPlan) -> list[Element]:
        match field.source:
            case CounterText(_, width, fill):
                return [*fill * (width - self.length), *self._places()]
            case InputText():
                return [*self._places()]
            case JoinedText(_, pieces):
                return [
                    element
                    for piece in pieces
                    for element in (piece.text if isinstance(piece, Run) else self._field(piece))
                ]
        raise NotPlacedError

    def _places(self) -> Iterable[Element]:
        return (Placed(place) for place in range(self.length))

    def _after(self, option: Option, elements: list[Element]) -> list[Element]:
        match option:
            case First(count):
                return self._single(elements)[:count]
            case Last(count):
                return self._single(elements)[-count:]
            case Part(first, last, _):
                if len(self._single(elements)) < last:
                    option.apply(_shown(elements))  # raises the error of the option
                return elements[first - 1 : last]
            case Pad(width, on_left, fill):
                padding: list[Element] = [*fill * (width - len(self._single(elements)))]
                return padding + elements if on_left else elements + padding
            case Upper(language) | Lower(language) if language != "el":
                return [part for element in elements for part in _changed(option, element)]
            case NoPoints():
                return [part for element in elements for part in _changed(option, element)]
        raise NotPlacedError

    def _single(self, elements: list[Element]) -> list[Element]:
        """The same elements, each known to be one character."""
        changed = (e for e in elements if isinstance(e, Placed) and e.options)
        if any(len(element.text(char)) != 1 for element in changed for char in self.alphabet):
            raise NotPlacedError
        return elements


def _changed(option: Option, element: Element) -> list[Element]:
    if isinstance(element, str):
        return [*option.apply(element)]
    return [Placed(element.place, (*element.options, option))]


def _shown(elements: list[Element]) -> str:
    return "".join(element if isinstance(element, str) else "?" for element in elements)


Prints = tuple[tuple[Whole, tuple[Option, ...]], ...]
"""The fields that print a place, and the options it goes through in each."""


@dataclass(frozen=True, slots=True)
class Printed:
    """What fields print of the texts of one length.

    Attributes:
        always: characters that are always printed: of which field, where in it, and which.
        shown: for each place of the text, the fields that print it, where, and after what options.
        kinds: for each place a number of its `Prints`; equal for equal ones.
        tails: for each place, and after the last, a number of all kinds from there on.
    """

    always: tuple[tuple[Whole, int, str], ...]
    shown: tuple[tuple[tuple[Whole, int, tuple[Option, ...]], ...], ...]
    kinds: tuple[int, ...]
    tails: tuple[int, ...]


class Tapes:
    """The tapes of the fields of one variable, by length; each is worked out once."""

    def __init__(self, atoms: Sequence[Whole], alphabet: frozenset[str]) -> None:
        self.atoms, self.alphabet = atoms, alphabet
        self.kinds: list[Prints] = []
        self._numbers: dict[Prints, int] = {}
        self._tails: dict[tuple[int, int], int] = {}
        self._known: dict[int, Printed | None] = {}

    def printed(self, length: int) -> Printed | None:
        """What is printed of texts of a length; None when some field has no print of them."""
        if length not in self._known:
            try:
                self._known[length] = self._printed(length)
            except InputError:
                self._known[length] = None
        return self._known[length]

    def _printed(self, length: int) -> Printed:
        tape, always = Tape(length, self.alphabet), list[tuple[Whole, int, str]]()
        shown: list[list[tuple[Whole, int, tuple[Option, ...]]]] = [[] for _ in range(length)]
        for atom in self.atoms:
            for index, element in enumerate(tape.elements(atom)):
                if isinstance(element, str):
                    always.append((atom, index, element))
                else:
                    shown[element.place].append((atom, index, element.options))
        kinds = [self._kind(tuple((a, options) for a, _, options in some)) for some in shown]
        tails, tail = [0], 0
        for kind in reversed(kinds):
            tail = self._tails.setdefault((kind, tail), len(self._tails) + 1)
            tails.append(tail)
        return Printed(tuple(always), tuple(map(tuple, shown)), tuple(kinds), tuple(tails[::-1]))

    def _kind(self, prints: Prints) -> int:
        if prints not in self._numbers:
            self._numbers[prints] = len(self.kinds)
            self.kinds.append(prints)
        return self._numbers[prints]


def goes_by_place(atoms: Iterable[Whole], lengths: Iterable[int], alphabet: frozenset[str]) -> bool:
    """Whether all atoms go place by place at all lengths."""
    tapes = [Tape(length, alphabet) for length in lengths]
    try:
        for atom in atoms:
            for tape in tapes:
                with suppress(InputError):  # reported where the texts are looked at
                    tape.elements(atom)
    except NotPlacedError:
        return False
    return True

"""Fields of one counter or input as a tape: which places of its text each prints.

For a text of a known length, ``case(0000, last 2)`` prints places 2 and 3 of a padded number. The
weight of the text is then a sum over its places, whatever stands there, and can be searched place
by place instead of value by value.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass

from rasterc.diagnostics import InputError
from rasterc.extremes.atoms import Whole
from rasterc.values.fields import CounterText, FieldPlan, InputText, JoinedText
from rasterc.values.model import Run
from rasterc.values.options import First, Last, Lower, NoPoints, Option, Pad, Part, Upper


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

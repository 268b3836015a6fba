"""The group of one field of which only the shape is known; what it gives is a bound."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.domain.atoms import Whole
from rasterc.domain.texts import Shape
from rasterc.domain.words import Count
from rasterc.extremes.group import HIGHEST, Assignment
from rasterc.extremes.meter import Meter, Vectors


@dataclass(frozen=True, slots=True)
class ShapeGroup:
    """A field whose characters are taken to vary freely within its shape.

    ``follows`` tells that its text follows from what is printed elsewhere, so that it makes no
    more strings; a check digit, say.
    """

    atom: Whole
    shape: Shape
    why: str
    follows: bool

    def vectors(self, meter: Meter, sense: int) -> Vectors:
        """See `group.Group`."""
        weights = [
            [meter.weigh(meter.place(self.atom, index), char) for char in chars]
            for index, chars in enumerate(self.shape.places)
        ]
        if meter.name == "unprintable characters":
            total = 0  # a character that may never come is no fault
        elif sense == HIGHEST:
            total = sum(max(some) for some in weights)
        else:
            total = sum(min(some) for some in weights[: self.shape.least])
        rows = np.zeros((1, meter.slots), dtype=np.int64)
        rows[0, meter.slot[self.atom.line]] = total
        return rows

    def first(self, meter: Meter, sense: int, _: Vectors) -> tuple[Assignment, Vectors]:
        """See `group.Group`: no value is known to give the bound."""
        return Assignment(), self.vectors(meter, sense)

    def count(self) -> Count:
        """At most as many as are of the shape."""
        return Count(1) if self.follows else Count(self.shape.number(), exact=False)

    def is_exact(self, meter: Meter) -> bool:
        """Whether all texts of the shape weigh the same."""
        highest, lowest = self.vectors(meter, HIGHEST), self.vectors(meter, -HIGHEST)
        return bool((highest == lowest).all())


def inexact(groups: Sequence[object], meter: Meter) -> list[ShapeGroup]:
    """The groups that make a measure a bound."""
    return [g for g in groups if isinstance(g, ShapeGroup) and not g.is_exact(meter)]

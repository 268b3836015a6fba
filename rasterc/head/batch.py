"""Patterns that fly together, and what their flight leaves behind."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import NamedTuple

from rasterc.head.arrays import Floats, Ints
from rasterc.head.many import Constants

SLOWEST = 4.0  # give up on drops that take so many times the flight time without air


@dataclass(frozen=True, slots=True)
class Grid:
    """Steps in time: ``drops`` births a step, or ``steps`` steps from one birth to the next."""

    period_s: float
    steps: int = 1
    drops: int = 1

    @property
    def step_s(self) -> float:
        """Time of a step."""
        return self.period_s * self.drops / self.steps

    def born(self, count: int) -> int:
        """How many drops there are at a step."""
        return count * self.drops // self.steps + 1


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """Patterns to fly, in lanes of their own; arrays of shape (rows, patterns).

    A row is a drop: first ``lead`` ones that stand for the stream ahead, then those that fly.

    Attributes:
        c: constants of the patterns.
        charges_c: of every row.
        planes: where landings are looked for, shape (planes, patterns): the product, and the end
            of the plates if it is to be followed how near drops come to others and to the plates.
        grid: steps in time.
        lead: rows of the stream ahead.
        kept_drops: drops beyond the product that still repel; further ones are forgotten.
        followed_drops: drops before and after a drop among which the nearest is looked for.
    """

    c: Constants
    charges_c: Floats
    planes: Floats
    grid: Grid
    lead: int
    kept_drops: int
    followed_drops: int

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return len(self.charges_c)

    @property
    def follow(self) -> bool:
        """Whether it is followed how near drops come."""
        return len(self.planes) > 1

    @property
    def longest(self) -> int:
        """Steps after which drops that have not landed are given up."""
        furthest = float((self.planes.max(axis=0) / self.c.speed).max())
        drops = self.rows - self.lead
        return ceil((drops * self.grid.period_s + furthest * SLOWEST) / self.grid.step_s)


class Met(NamedTuple):
    """What a flight leaves behind, by row and pattern.

    ``met`` has for each plane both ends of the step in which a drop met it: z, y, their speeds,
    and the number of the step; shape (planes, 9, rows, patterns). ``nearest2`` is the square of
    the least distance to another drop, ``nearest`` the row of that drop.
    """

    met: Floats
    nearest2: Floats
    nearest: Ints

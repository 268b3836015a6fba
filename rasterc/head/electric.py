"""What the plates and the other charged drops do to the charged ones."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from rasterc.head.arrays import Floats, Ints
from rasterc.head.coulomb import repulsion
from rasterc.head.many import Constants
from rasterc.head.plates import plate_field


class Rows(NamedTuple):
    """Charged drops of each pattern by row, shape (most of them, patterns).

    A pattern with fewer of them has the row behind the last, where no drop is, in their place.
    """

    row: Ints
    pattern: Ints


class Electric:
    """Accelerations of charged drops; ``charges`` has shape (rows, patterns), the last row none."""

    def __init__(self, c: Constants, charges: Floats) -> None:
        self.c, self.charges = c, charges
        charged = charges != 0
        self.nowhere = len(charges) - 1
        self.any = charged.any(axis=1)
        self.count = np.concatenate((np.zeros((1, charges.shape[1]), int), charged.cumsum(axis=0)))
        most = int(self.count[-1].max())
        self.lists = np.full((most + 1, charges.shape[1]), self.nowhere)
        row, pattern = np.nonzero(charged)
        self.lists[self.count[row, pattern], pattern] = row
        self.pattern = np.arange(charges.shape[1])
        self.below = [0, *self.any.cumsum().tolist()]
        self._known: dict[tuple[int, int], Rows] = {}

    def rows(self, first: int, end: int) -> Rows:
        """The charged drops of rows ``first`` to ``end`` (excluded)."""
        key = self.below[first], self.below[end]
        if key not in self._known:
            if len(self._known) > 8:
                self._known.clear()
            self._known[key] = self._rows(first, end)
        return self._known[key]

    def _rows(self, first: int, end: int) -> Rows:
        low, high = self.count[first], self.count[end]
        most = int((high - low).max())
        nth = np.arange(most)[:, None] + low
        listed = self.lists[np.minimum(nth, len(self.lists) - 1), self.pattern]
        row = np.where(nth < high, listed, self.nowhere)
        return Rows(row, np.broadcast_to(self.pattern, row.shape))

    def act(self, place: Floats, acceleration: Floats, pushed: Rows, pushing: Rows) -> None:
        """Add what plates and charged drops do to ``pushed`` to the accelerations."""
        c = self.c
        z, y = place[0][pushed], place[1][pushed]
        across, along = plate_field(z, y, c.entry, c.exit, c.fringe, c.middle)
        pull_z, pull_y = self._pull(place, (z, y), pushing, self.charges[pushing])
        by_mass = self.charges[pushed] / c.mass
        acceleration[0][pushed] += by_mass * (c.field * along + pull_z)
        acceleration[1][pushed] += by_mass * (c.field * across + pull_y)

    def take_back(
        self, place: Floats, velocity: Floats, pushed: Rows, newborn: Rows, time_s: Floats
    ) -> None:
        """Take back what newborn drops did to others in the time (by row) before they were born."""
        own = place[0][pushed], place[1][pushed]
        pull_z, pull_y = self._pull(
            place, own, newborn, self.charges[newborn] * time_s[newborn.row]
        )
        by_mass = self.charges[pushed] / self.c.mass
        velocity[0][pushed] -= by_mass * pull_z
        velocity[1][pushed] -= by_mass * pull_y

    def _pull(
        self, place: Floats, own: tuple[Floats, Floats], others: Rows, charges: Floats
    ) -> tuple[Floats, Floats]:
        return repulsion(*own, place[0][others], place[1][others], charges, self.c.diameter)

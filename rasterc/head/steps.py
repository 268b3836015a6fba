"""The steps of a flight, by numpy.

Leapfrog with velocities half a step off (second order; drag is taken at the predicted speed). A
drop is born on the grid, and what it would have done to the others before that is taken back.
"""

from __future__ import annotations

import numpy as np

from rasterc.head.arrays import Floats
from rasterc.head.batch import Batch, Met
from rasterc.head.electric import Electric
from rasterc.head.shield import Shield


def run_steps(batch: Batch) -> Met:
    """Fly patterns to the product."""
    return _Steps(batch).run()


class _Steps:
    """Patterns in flight; arrays of shape (rows, patterns), so that drops in flight are a slice.

    Rows are those of the batch, and a last one for none. Drops ``kept`` to ``born`` (excluded)
    move, those from ``first`` on are not yet beyond the product.
    """

    def __init__(self, batch: Batch) -> None:
        self.batch, self.c, self.grid = batch, batch.c, batch.grid
        self.planes, self.lead, self.rows = batch.planes, batch.lead, batch.rows
        shape = (self.rows + 1, len(batch.c.speed))
        self.shield = Shield(batch.c, self.rows + 1)
        self.electric = Electric(batch.c, np.vstack((batch.charges_c, np.zeros(shape[1]))))
        self.place, self.velocity = np.zeros((2, *shape)), np.zeros((2, *shape))
        self.speed, self.push = np.zeros((2, *shape)), np.zeros((2, *shape))
        self.place[0, -1] = -1e3
        self.velocity[0] = self.c.speed
        self.met = np.full((len(self.planes), 9, *shape), np.nan)
        self.nearest2, self.nearest = np.full(shape, np.inf), np.full(shape, -1)
        self.kept = self.first = self.born = self.lead

    def run(self) -> Met:
        """Fly until every drop has landed."""
        grid, drops = self.grid, self.rows - self.lead
        for count in range(self.batch.longest):
            newborn = slice(self.born, self.lead + min(grid.born(count), drops))
            if newborn.start < newborn.stop:
                self._birth(newborn, count)
            self._step(newborn, count)
            if self.first == self.rows:
                break
            if self.batch.follow:
                self._look()
        return Met(self.met[:, :, :-1], self.nearest2[:-1], self.nearest[:-1])

    def _birth(self, new: slice, count: int) -> None:
        """Drops born since the last step, at their place now; drag has slowed them a little."""
        c = self.c
        self.born = new.stop
        if self.grid.drops == 1:
            return  # it is at its place already
        age_s = self._age_s(new, count)
        slowing = -c.stokes * (1 + 0.15 * (c.reynolds * c.speed) ** 0.687)
        slowing = slowing * c.speed * self.shield.factor[new]
        self.place[0, new] = age_s * (c.speed + age_s / 2 * slowing)
        self.push[0, new] = slowing * (2 * age_s / self.grid.step_s)

    def _age_s(self, rows: slice, count: int) -> Floats:
        numbers = np.arange(rows.start, rows.stop)[:, None] - self.lead
        return count * self.grid.step_s - numbers * self.grid.period_s

    def _forget(self) -> None:
        """Leave off drops that are well beyond the product in every pattern."""
        beyond = self.planes.max(axis=0)
        while self.first < self.born and (self.place[0, self.first] >= beyond).all():
            self.first += 1
        self.kept = max(self.lead, self.first - self.batch.kept_drops)

    def _step(self, new: slice, count: int) -> None:
        """Accelerations where the drops are, landings since the last step, and on to the next."""
        now, step_s = slice(self.first, self.born), self.grid.step_s
        velocity, push = self.velocity[:, now], self.push[:, now]
        speed = velocity + step_s / 2 * push
        rate = self.shield.update(self.place, speed, now, self.first == self.lead)
        np.multiply(-rate, speed, out=push)
        charged = self.electric.rows(self.first, self.born)
        if charged.row.size:
            everywhere = self.electric.rows(self.kept, self.born)
            self.electric.act(self.place, self.push, charged, everywhere)
        speed = velocity + step_s / 2 * push
        self._land(now, speed, count)
        self.speed[:, now] = speed
        velocity += step_s * push
        if new.start < new.stop:
            self._late(new, count)
        self._forget()
        moving = slice(self.kept, self.born)
        self.place[:, moving] += step_s * self.velocity[:, moving]

    def _late(self, new: slice, count: int) -> None:
        """Drops born within this step were pushed, and pushed others, for less than all of it."""
        self.shield.new(new)
        age_s = self._age_s(new, count)
        self.velocity[:, new] += (age_s - self.grid.step_s / 2) * self.push[:, new]
        if self.electric.any[new].any():
            time_s = np.zeros(self.rows + 1)
            time_s[new] = self.grid.step_s / 2 - age_s[:, 0]
            older = self.electric.rows(self.first, new.start)
            newborn = self.electric.rows(new.start, new.stop)
            self.electric.take_back(self.place, self.velocity, older, newborn, time_s)

    def _land(self, now: slice, speed: Floats, count: int) -> None:
        """Keep the last step of drops that crossed a plane in it: both ends of it, and when."""
        z1, y1, step = self.place[0, now], self.place[1, now], self.grid.step_s
        z0 = z1 - step * self.velocity[0, now]
        for plane, met in zip(self.planes, self.met, strict=True):
            crossed = z0 < plane
            crossed &= z1 >= plane
            if crossed.any():
                y0 = y1 - step * self.velocity[1, now]
                ends = (z0, z1, y0, y1, *self.speed[:, now], *speed, np.full_like(z0, count - 1))
                np.copyto(met[:, now], ends, where=crossed)

    def _look(self) -> None:
        """Note how near each charged drop is to others that were born about when it was."""
        drops, reach = self.electric.rows(self.first, self.born), self.batch.followed_drops
        if not drops.row.size:
            return
        steps = np.arange(-reach, reach + 1)[:, None, None]
        others = drops.row + steps
        there = (others >= self.lead) & (others < self.born) & (steps != 0)
        others = np.where(there, others, self.rows)
        z, y = (a[others, drops.pattern] for a in self.place)
        own_z, own_y = self.place[0][drops], self.place[1][drops]
        squares = (own_z - z) ** 2
        squares += (own_y - y) ** 2
        squares[z >= self.planes[0]] = np.inf
        nth = squares.argmin(axis=0)[None]
        least = np.take_along_axis(squares, nth, axis=0)[0]
        nearer = (own_z < self.planes[0]) & (least < self.nearest2[drops])
        place = drops.row[nearer], drops.pattern[nearer]
        self.nearest2[place] = least[nearer]
        self.nearest[place] = np.take_along_axis(others, nth, axis=0)[0][nearer]

"""Flying drops from breakup to the product.

Drops move in one plane: along the jet (z) and across it (y, the rows). They form one each drop
period at z = 0 with the speed of the jet, and feel the field of the plates, the drag of the air,
less behind other drops, and the repulsion of all charged drops in flight. A landed drop is taken
to fly on for the others, straight and evenly: it neither vanishes nor stays as a charge on the
product.

Numerics: leapfrog with velocities half a step off (second order; drag is taken at the predicted
speed). A drop is born on the grid, and what it would have done to the others before that is taken
back. It lands where a cubic Hermite curve through a step meets the product. Uncharged drops fly
ahead, so that the first one given finds the stream as it is in steady running.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np

from rasterc.head.arrays import Floats, Ints
from rasterc.head.electric import Electric
from rasterc.head.many import Constants, constants_of
from rasterc.head.model import HeadModel
from rasterc.head.shield import Shield, lags_of
from rasterc.head.wake import USUAL_WAKE

LEAD_IN_DROPS = 4
KEPT_DROPS = 64  # drops beyond the product that still repel; further ones are forgotten
VALUES_AT_ONCE = 1 << 15  # pairs of drops held at once; fits a processor's cache
SLOWEST = 4.0  # give up on drops that take so many times the flight time without air
FOLLOWED_DROPS = 12  # slots before and after a drop among which the nearest is looked for


@dataclass(frozen=True, slots=True, eq=False)
class Flights:
    """Where and when drops land; arrays of shape (patterns, drops).

    Attributes:
        y_m: deflection on the product; nan for a drop that did not get there.
        arrival_s: time of landing after the first drop was born.
        separation_m: least distance, centre to centre, from another drop before either landed,
            among those born about when it was; inf where it was not followed (uncharged drops, or
            ``follow`` off).
        nearest: that other drop; -1 for a drop of the lead-in or none.
        plate_m: deflection at the end of the plates; -inf where it was not followed.
    """

    y_m: Floats
    arrival_s: Floats
    separation_m: Floats
    nearest: Ints
    plate_m: Floats


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


def fly(
    head: HeadModel | Sequence[HeadModel],
    charges_c: Floats,
    *,
    wake: float | Floats = USUAL_WAKE,
    throw_m: float | Floats | None = None,
    steps_per_drop: int = 1,
    drops_per_step: int = 1,
    follow: bool = False,
) -> Flights:
    """Fly patterns of drops, each pattern on its own.

    Args:
        head: the head, or one for each pattern; all of one drop frequency.
        charges_c: charge of each drop in order of birth, shape (patterns, drops).
        wake: strength of the wakes, a factor on the share of the air's speed they take away; for
            all, or one for each pattern.
        throw_m: throw distance, for all or one for each pattern; the heads' own when None.
        steps_per_drop: time steps per drop period.
        drops_per_step: drop periods per time step: coarser, to search charges with.
        follow: also follow how near charged drops come to others, and to the plates.
    """
    charges_c = np.atleast_2d(np.asarray(charges_c, dtype=np.float64))
    patterns = len(charges_c)
    heads = [head] * patterns if isinstance(head, HeadModel) else list(head)
    wakes = np.broadcast_to(np.asarray(wake, dtype=np.float64), patterns)
    throws = [h.throw_m for h in heads] if throw_m is None else throw_m
    product = np.array([h.exit_m for h in heads]) + np.broadcast_to(throws, patterns)
    grid = Grid(heads[0].period_s, steps_per_drop, drops_per_step)
    done = []
    with np.errstate(all="ignore"):  # drops beyond all bounds end as nan, which says so
        for part in _parts(heads, charges_c, product):
            c = constants_of(heads[part], wakes[part])
            done.append(_Flight(c, charges_c[part], product[part], grid, follow).run())
    return Flights(*(np.concatenate([getattr(f, n) for f in done]) for n in Flights.__slots__))


def _parts(heads: Sequence[HeadModel], charges_c: Floats, product: Floats) -> Iterator[slice]:
    """The patterns in parts small enough for the pairs of each to fit the cache."""
    in_flight = max(p / h.jet_speed_m_s / h.period_s for p, h in zip(product, heads, strict=True))
    together = int(in_flight) + 1
    drops = min(charges_c.shape[1] + LEAD_IN_DROPS, together)
    ended = (charges_c != 0).cumsum(axis=1)
    ended[:, together:] -= ended[:, :-together].copy()
    charged = int(ended.max(initial=0))
    size = max(1, int(VALUES_AT_ONCE / max(8 * drops, charged**2)))
    for start in range(0, len(charges_c), size):
        yield slice(start, min(start + size, len(charges_c)))


class _Flight:
    """Patterns in flight; arrays of shape (rows, patterns), so that drops in flight are a slice.

    A row is a drop: first those that stand for the stream ahead, then the lead-in, then the drops
    given; the last row is for none. Drops ``kept`` to ``born`` (excluded) move, those from
    ``first`` on are not yet beyond the product.
    """

    def __init__(
        self, c: Constants, charges_c: Floats, product_m: Floats, grid: Grid, follow: bool
    ) -> None:
        patterns, drops = charges_c.shape
        self.c, self.grid, self.follow = c, grid, follow
        self.planes = np.stack((product_m, c.exit)) if follow else product_m[None]
        self.lead = lags_of(c)
        self.given = self.lead + LEAD_IN_DROPS
        self.rows = self.given + drops
        shape = (self.rows + 1, patterns)
        self.shield = Shield(c, self.rows + 1)
        charges = np.zeros(shape)
        charges[self.given : self.rows] = charges_c.T
        self.electric = Electric(c, charges)
        self.place, self.velocity = np.zeros((2, *shape)), np.zeros((2, *shape))
        self.speed, self.push = np.zeros((2, *shape)), np.zeros((2, *shape))
        self.place[0, -1] = -1e3
        self.velocity[0] = c.speed
        self.met = np.full((len(self.planes), 9, *shape), np.nan)
        self.nearest2, self.nearest = np.full(shape, np.inf), np.full(shape, -1)
        self.kept = self.first = self.born = self.lead

    def run(self) -> Flights:
        """Fly until every drop has landed."""
        grid, drops = self.grid, self.rows - self.lead
        furthest = float((self.planes.max(axis=0) / self.c.speed).max())
        longest = ceil((drops * grid.period_s + furthest * SLOWEST) / grid.step_s)
        for count in range(longest):
            newborn = slice(self.born, self.lead + min(grid.born(count), drops))
            if newborn.start < newborn.stop:
                self._birth(newborn, count)
            self._step(newborn, count)
            if self.first == self.rows:
                break
            if self.follow:
                self._look()
        return self._result()

    def _result(self) -> Flights:
        own, uncharged = slice(self.given, self.rows), self.electric.charges == 0
        self.nearest2[uncharged], self.nearest[uncharged] = np.inf, -1
        y, when = _landings(self.met[0], self.planes[0], self.grid.step_s)
        plate = np.full_like(y, -np.inf)
        if self.follow:
            at_exit = _landings(self.met[1], self.planes[1], self.grid.step_s)[0]
            plate = np.where(uncharged | np.isnan(at_exit), -np.inf, at_exit)
        return Flights(
            y_m=y[own].T,
            arrival_s=when[own].T - LEAD_IN_DROPS * self.c.period_s,
            separation_m=np.sqrt(self.nearest2[own]).T,
            nearest=np.maximum(self.nearest[own] - self.given, -1).T,
            plate_m=plate[own].T,
        )

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
        self.kept = max(self.lead, self.first - KEPT_DROPS)

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
        drops = self.electric.rows(self.first, self.born)
        if not drops.row.size:
            return
        steps = np.arange(-FOLLOWED_DROPS, FOLLOWED_DROPS + 1)[:, None, None]
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


def _landings(met: Floats, plane: Floats, step_s: float) -> tuple[Floats, Floats]:
    """Where and when drops met a plane, from the ends of the step in which they did."""
    z0, z1, y0, y1, vz0, vy0, vz1, vy1, count = met
    part = (plane - z0) / (z1 - z0)
    for _ in range(3):
        off = _hermite(part, z0, z1, step_s * vz0, step_s * vz1) - plane
        part = part - off / (z1 - z0)
    return _hermite(part, y0, y1, step_s * vy0, step_s * vy1), (count + part) * step_s


def _hermite(part: Floats, p0: Floats, p1: Floats, m0: Floats, m1: Floats) -> Floats:
    """Cubic through p0 and p1 with slopes m0 and m1, at ``part`` (0 to 1) of the way."""
    t = part
    return (
        p0 + t * m0 + t * t * (3 * (p1 - p0) - 2 * m0 - m1) + t * t * t * (2 * (p0 - p1) + m0 + m1)
    )

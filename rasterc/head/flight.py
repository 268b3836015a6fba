"""Flying drops from breakup to the product.

Drops move in one plane: along the jet (z) and across it (y, the rows). They form one each drop
period at z = 0 with the speed of the jet, and feel the field of the plates, the drag of the air,
less behind another drop, and the repulsion of all charged drops in flight. A landed drop is taken
to fly on for the others: it neither vanishes nor stays as a charge on the product.

Numerics: velocity Verlet at a fixed step of one drop period or a part of it (second order; drag
is taken at the predicted speed). A drop is born on the grid, and the accelerations of the others
are corrected for it there. It lands where a cubic Hermite curve through a step meets the product.
Uncharged drops fly ahead, so that the first one given finds the stream as it is in steady running.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from rasterc.head.air import drag_rate_per_s, wake_deficit
from rasterc.head.arrays import Bools, Floats, Ints
from rasterc.head.coulomb import coulomb_forces, forces_of_one
from rasterc.head.model import USUAL_WAKE, HeadModel
from rasterc.head.plates import plate_field

LEAD_IN_DROPS = 12
WAKE_DROPS = 4  # drops ahead among which the one that shields most is looked for: assumption
KEPT_DROPS = 64  # drops beyond the product that still repel; further ones are forgotten
PAIRS_AT_ONCE = 1 << 16  # pairs of drops held at once; fits a processor's cache
SLOWEST = 4.0  # give up on drops that take so many times the flight time without air


@dataclass(frozen=True, slots=True, eq=False)
class Flights:
    """Where and when drops land; arrays of shape (patterns, drops).

    Attributes:
        y_m: deflection on the product; nan for a drop that did not get there.
        arrival_s: time of landing after the first drop was born.
        separation_m: least distance, centre to centre, from another drop before either landed;
            inf where it was not followed (uncharged drops, or ``follow`` off).
        nearest: that other drop; -1 for a drop of the lead-in or none.
        plate_m: greatest deflection between the plates; -inf where it was not followed.
    """

    y_m: Floats
    arrival_s: Floats
    separation_m: Floats
    nearest: Ints
    plate_m: Floats


def fly(
    head: HeadModel,
    charges_c: Floats,
    *,
    wake: float = USUAL_WAKE,
    throw_m: float | None = None,
    steps_per_drop: int = 1,
    follow: bool = False,
) -> Flights:
    """Fly patterns of drops, each pattern on its own.

    Args:
        head: the head.
        charges_c: charge of each drop in order of birth, shape (patterns, drops).
        wake: strength d0 of the wake, 0 to 1: part of its drag a drop is spared right behind
            another.
        throw_m: throw distance; the head's own when None.
        steps_per_drop: time steps per drop period.
        follow: also follow how near charged drops come to others and to the plates.
    """
    charges_c = np.atleast_2d(np.asarray(charges_c, dtype=np.float64))
    product_m = head.product_m if throw_m is None else head.exit_m + throw_m
    done = []
    with np.errstate(all="ignore"):  # drops beyond all bounds end as nan, which says so
        for part in _parts(head, charges_c, follow):
            done.append(_Flight(head, part, wake, product_m, steps_per_drop, follow).run())
    return Flights(*(np.concatenate([getattr(f, n) for f in done]) for n in Flights.__slots__))


def _parts(head: HeadModel, charges_c: Floats, follow: bool) -> Iterator[Floats]:
    """The patterns in parts small enough for the pairs of each to fit the cache."""
    in_flight = head.product_m / head.jet_speed_m_s * head.drop_frequency_hz * 1.5 + KEPT_DROPS
    charged = min(int(charges_c.any(axis=0).sum()), in_flight)
    others = min(charges_c.shape[1], in_flight) if follow else charged
    size = max(1, int(PAIRS_AT_ONCE / max(1.0, charged * others)))
    for start in range(0, charges_c.shape[0], size):
        yield charges_c[start : start + size]


class _Flight:
    """Patterns in flight; arrays of shape (drops, patterns), so that drops in flight are a slice.

    Drops ``first`` to ``born`` (excluded) are kept up to date.
    """

    def __init__(
        self,
        head: HeadModel,
        charges_c: Floats,
        wake: float,
        product_m: float,
        steps_per_drop: int,
        follow: bool,
    ) -> None:
        patterns, drops = charges_c.shape
        shape = (drops + LEAD_IN_DROPS, patterns)
        self.head, self.wake, self.product_m, self.follow = head, wake, product_m, follow
        self.steps_per_drop = steps_per_drop
        self.step_s = head.period_s / steps_per_drop
        self.charges = np.zeros(shape)
        self.charges[LEAD_IN_DROPS:] = charges_c.T
        self.charged = np.flatnonzero(self.charges.any(axis=1))
        self.z, self.y, self.vz, self.vy, self.az, self.ay = (np.zeros(shape) for _ in range(6))
        self.landed_y, self.landed_s = np.full(shape, np.nan), np.full(shape, np.nan)
        self.nearest2, self.plate = np.full(shape, np.inf), np.full(shape, -np.inf)
        self.nearest = np.full(shape, -1, dtype=np.int64)
        self.first = self.born = 0

    def run(self) -> Flights:
        """Fly until every drop has landed."""
        drops = len(self.z)
        longest = self.product_m / self.head.jet_speed_m_s / self.head.period_s * SLOWEST
        for count in range(int(drops + longest) * self.steps_per_drop):
            if count % self.steps_per_drop == 0:
                if self.born < drops:
                    self._birth()
                elif not np.isnan(self.landed_y[self.first :]).any():
                    break
                self._forget()
            self._step(count * self.step_s)
            if self.follow:
                self._follow()
        uncharged = self.charges == 0
        self.nearest2[uncharged], self.nearest[uncharged] = np.inf, -1
        self.plate[uncharged] = -np.inf
        return Flights(
            y_m=self.landed_y[LEAD_IN_DROPS:].T,
            arrival_s=self.landed_s[LEAD_IN_DROPS:].T - LEAD_IN_DROPS * self.head.period_s,
            separation_m=np.sqrt(self.nearest2[LEAD_IN_DROPS:]).T,
            nearest=np.maximum(self.nearest[LEAD_IN_DROPS:] - LEAD_IN_DROPS, -1).T,
            plate_m=self.plate[LEAD_IN_DROPS:].T,
        )

    def _forget(self) -> None:
        """Leave off a drop that is well beyond the product in every pattern."""
        ahead = self.first + KEPT_DROPS
        if ahead < self.born and not np.isnan(self.landed_y[self.first : ahead + 1]).any():
            self.first += 1

    def _birth(self) -> None:
        """One more drop at breakup; the accelerations of all are brought up to date."""
        new = self.born
        self.born += 1
        self.vz[new] = self.head.jet_speed_m_s
        near = slice(max(self.first, new - WAKE_DROPS), new + 1)
        self.az[new] = -self._drag_rate(near)[-1] * self.head.jet_speed_m_s
        columns = self._charged_in_flight()
        if columns.size == 0 or columns[-1] != new:
            return
        z, y, charges = self._of(columns)
        fz, fy = forces_of_one(z, y, charges, columns.size - 1, self.head.drop_diameter_m)
        ez, ey = self._field(z[:, -1:], y[:, -1:], charges[:, -1:])
        fz[:, -1:] += ez
        fy[:, -1:] += ey
        self.az[columns] += fz.T / self.head.drop_mass_kg
        self.ay[columns] += fy.T / self.head.drop_mass_kg

    def _step(self, now_s: float) -> None:
        """One step of velocity Verlet, and the landings within it."""
        now, step = slice(self.first, self.born), self.step_s
        z, y, vz, vy = (a[now].copy() for a in (self.z, self.y, self.vz, self.vy))
        az, ay = self.az[now], self.ay[now]
        self.z[now] += step * (vz + step / 2 * az)
        self.y[now] += step * (vy + step / 2 * ay)
        self.vz[now] += step * az
        self.vy[now] += step * ay
        new_az, new_ay = self._accelerations(now)
        self.vz[now] = vz + step / 2 * (az + new_az)
        self.vy[now] = vy + step / 2 * (ay + new_ay)
        self.az[now], self.ay[now] = new_az, new_ay
        crossing = (z < self.product_m) & (self.z[now] >= self.product_m)
        if crossing.any():
            self._land(now_s, crossing, (z, vz, y, vy))

    def _land(self, now_s: float, crossing: Bools, before: tuple[Floats, ...]) -> None:
        """Where and when the drops that crossed the product in this step met it."""
        now, step = slice(self.first, self.born), self.step_s
        z0, vz0, y0, vy0 = (a[crossing] for a in before)
        z1, vz1, y1, vy1 = (a[now][crossing] for a in (self.z, self.vz, self.y, self.vy))
        part = (self.product_m - z0) / (z1 - z0)
        for _ in range(3):
            off = _hermite(part, z0, z1, step * vz0, step * vz1) - self.product_m
            part = part - off / (z1 - z0)
        self.landed_y[now][crossing] = _hermite(part, y0, y1, step * vy0, step * vy1)
        self.landed_s[now][crossing] = now_s + part * step

    def _accelerations(self, now: slice) -> tuple[Floats, Floats]:
        rate = self._drag_rate(now)
        az, ay = -rate * self.vz[now], -rate * self.vy[now]
        columns = self._charged_in_flight()
        if columns.size:
            z, y, charges = self._of(columns)
            ez, ey = self._field(z, y, charges)
            fz, fy = coulomb_forces(z, y, charges, self.head.drop_diameter_m)
            az[columns - self.first] += (ez + fz).T / self.head.drop_mass_kg
            ay[columns - self.first] += (ey + fy).T / self.head.drop_mass_kg
        return az, ay

    def _charged_in_flight(self) -> Ints:
        low, high = np.searchsorted(self.charged, (self.first, self.born))
        return self.charged[low:high]

    def _of(self, drops: Ints) -> tuple[Floats, ...]:
        """Place and charge of some drops, of shape (patterns, drops)."""
        return tuple(np.ascontiguousarray(a[drops].T) for a in (self.z, self.y, self.charges))

    def _field(self, z: Floats, y: Floats, charges: Floats) -> tuple[Floats, Floats]:
        """Forces of the plates along z and y."""
        head = self.head
        across, along = plate_field(z, y, head.entry_m, head.exit_m, head.fringe_m)
        force = charges * head.field_v_m
        return force * along, force * across

    def _drag_rate(self, now: slice) -> Floats:
        """Deceleration / speed of each drop, less where another shields it."""
        head = self.head
        vz, vy = self.vz[now], self.vy[now]
        speed = np.sqrt(vz * vz + vy * vy)
        rate = drag_rate_per_s(
            speed,
            head.drop_diameter_m,
            head.drop_mass_kg,
            head.air_density_kg_m3,
            head.air_viscosity_pa_s,
        )
        if self.wake:
            shield = self._shield(self.z[now], self.y[now], vz / speed, vy / speed, speed)
            rate *= 1 - self.wake * shield
        return rate

    def _shield(self, z: Floats, y: Floats, uz: Floats, uy: Floats, speed: Floats) -> Floats:
        """Deficit of the strongest wake each drop flies in, of the drops born shortly before.

        The stream runs all the time: ahead of the first drop flies one more, a period further.
        """
        nu = self.head.air_viscosity_pa_s / self.head.air_density_kg_m3
        diameter = self.head.drop_diameter_m
        shield = np.zeros_like(z)
        ahead = speed[0] * self.head.period_s
        shield[0] = wake_deficit(ahead, np.zeros_like(ahead), speed[0], diameter, nu)
        for k in range(1, min(WAKE_DROPS, len(z) - 1) + 1):
            dz, dy = z[:-k] - z[k:], y[:-k] - y[k:]
            along = dz * uz[:-k] + dy * uy[:-k]
            across = dz * uy[:-k] - dy * uz[:-k]
            deficit = wake_deficit(along, across, speed[:-k], diameter, nu)
            np.maximum(shield[k:], deficit, out=shield[k:])
        return shield

    def _follow(self) -> None:
        """Note how near each charged drop is to another, and how far out between the plates."""
        drops = self._charged_in_flight()
        if drops.size == 0:
            return
        z, y = (a[self.first : self.born] for a in (self.z, self.y))
        own_z, own_y = self.z[drops], self.y[drops]
        within = (own_z > self.head.entry_m) & (own_z < self.head.exit_m)
        plate = np.where(within, own_y, -np.inf)
        self.plate[drops] = np.maximum(self.plate[drops], plate)
        squares = (own_z[:, None] - z) ** 2
        squares += (own_y[:, None] - y) ** 2
        squares += np.where(z < self.product_m, 0.0, np.inf)
        squares[np.arange(drops.size), drops - self.first] = np.inf
        other = squares.argmin(axis=1)
        least = np.take_along_axis(squares, other[:, None], axis=1)[:, 0]
        nearer = (own_z < self.product_m) & (least < self.nearest2[drops])
        self.nearest2[drops] = np.where(nearer, least, self.nearest2[drops])
        self.nearest[drops] = np.where(nearer, other + self.first, self.nearest[drops])


def _hermite(part: Floats, p0: Floats, p1: Floats, m0: Floats, m1: Floats) -> Floats:
    """Cubic through p0 and p1 with slopes m0 and m1, at ``part`` (0 to 1) of the way."""
    t = part
    return (
        p0 + t * m0 + t * t * (3 * (p1 - p0) - 2 * m0 - m1) + t * t * t * (2 * (p0 - p1) + m0 + m1)
    )

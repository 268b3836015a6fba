"""Flying drops from breakup to the product.

Drops move in one plane: along the jet (z) and across it (y, the rows). They form one each drop
period at z = 0 with the speed of the jet, and feel the field of the plates, the drag of the air,
less behind other drops, and the repulsion of all charged drops in flight. A landed drop is taken
to fly on for the others, straight and evenly: it neither vanishes nor stays as a charge on the
product.

Numerics: the steps are those of `rasterc.head.steps`, by numpy or, several times as fast, by the
compiled loops of `rasterc.head.kernel`; what they find is the same. A drop lands where a cubic
Hermite curve through a step meets the product. Uncharged drops fly ahead, so that the first one
given finds the stream as it is in steady running.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from rasterc.head.arrays import Floats, Ints
from rasterc.head.batch import Batch, Grid, Met
from rasterc.head.compiled import compiled_run, lanes
from rasterc.head.many import Constants, constants_of
from rasterc.head.model import HeadModel
from rasterc.head.shield import lags_of
from rasterc.head.steps import run_steps
from rasterc.head.wake import USUAL_WAKE

LEAD_IN_DROPS = 4
KEPT_DROPS = 64  # drops beyond the product that still repel; further ones are forgotten
VALUES_AT_ONCE = 1 << 15  # pairs of drops held at once; fits a processor's cache
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
    run = compiled_run()
    parts = _lanes(patterns) if run else _parts(heads, charges_c, product)
    done = []
    with np.errstate(all="ignore"):  # drops beyond all bounds end as nan, which says so
        for part in parts:
            c = constants_of(heads[part], wakes[part])
            planes = np.stack((product[part], c.exit)) if follow else product[None, part]
            batch = _batch(c, charges_c[part], planes, grid)
            done.append(_told(batch, (run or run_steps)(batch)))
    return Flights(*(np.concatenate([getattr(f, n) for f in done]) for n in Flights.__slots__))


def _batch(c: Constants, charges_c: Floats, planes: Floats, grid: Grid) -> Batch:
    lead = lags_of(c)
    charges = np.zeros((lead + LEAD_IN_DROPS + charges_c.shape[1], len(charges_c)))
    charges[lead + LEAD_IN_DROPS :] = charges_c.T
    return Batch(c, charges, planes, grid, lead, KEPT_DROPS, FOLLOWED_DROPS)


def _told(batch: Batch, found: Met) -> Flights:
    """The landings of the drops given, from what their flight left behind."""
    given, step_s = batch.lead + LEAD_IN_DROPS, batch.grid.step_s
    uncharged = batch.charges_c[given:] == 0
    y, when = _landings(found.met[0, :, given:], batch.planes[0], step_s)
    plate = np.full_like(y, np.nan)
    if batch.follow:
        plate = _landings(found.met[1, :, given:], batch.planes[1], step_s)[0]
    nearest2 = np.where(uncharged, np.inf, found.nearest2[given:])
    nearest = np.where(uncharged, -1, found.nearest[given:] - given)
    return Flights(
        y_m=y.T,
        arrival_s=when.T - LEAD_IN_DROPS * batch.c.period_s,
        separation_m=np.sqrt(nearest2).T,
        nearest=np.maximum(nearest, -1).T,
        plate_m=np.where(uncharged | np.isnan(plate), -np.inf, plate).T,
    )


def _lanes(patterns: int) -> Iterator[slice]:
    """The patterns as they fit side by side into the compiled loops."""
    for start in range(0, patterns, lanes()):
        yield slice(start, min(start + lanes(), patterns))


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

"""The drag factors of all drops of a stream in one go.

The factor of a drop depends on those of the drops ahead of it, which are being worked out too. All
are carried on in a straight line from the last two steps, then brought nearer to what they should
be in a few turns, each only part of the way: whole turns would overshoot, as a drop with less drag
spares the next less, ever more strongly down the stream.
"""

from __future__ import annotations

from math import ceil

import numpy as np
from numpy.lib.stride_tricks import as_strided

from rasterc.head.arrays import Floats
from rasterc.head.many import Constants
from rasterc.head.wake import (
    FADES_FROM,
    MOST_SHARE,
    NEAREST,
    REACH,
    RISE,
    RISE_POWER,
    drag_factor,
    drag_rise,
    share_terms,
    smooth,
    wake_share,
)

PARTS = (0.4, 0.4, 1.0) * 8
CLOSING = 0.9  # spacing of drops in flight / spacing as they form, from which the lags are counted


def lags_of(c: Constants) -> int:
    """How many drops ahead lie within the reach of their wakes; 0 when there are no wakes."""
    if not c.strength.any():
        return 0
    return ceil(float((REACH * c.diameter / (c.speed * c.period_s)).max()) / CLOSING)


def steady_factor(c: Constants) -> Floats:
    """The drag factor of drops in an endless, even stream, as they form; for each pattern."""
    reynolds = c.reynolds * c.speed
    spacing = np.arange(1, lags_of(c) + 1)[:, None] * (c.speed * c.period_s / c.diameter)
    alike = np.broadcast_to(reynolds, spacing.shape)
    whole = c.strength * wake_share(spacing, np.zeros_like(spacing), alike).sum(axis=0)
    factor = np.ones_like(reynolds)
    for _ in range(40):  # a contraction: each turn brings it nearer by a half at least
        share = np.minimum(whole * factor, MOST_SHARE)
        factor = (factor + drag_factor(share, reynolds)) / 2
    return factor


class Shield:
    """Drag factors by row; ``lags`` rows before the first drop stand for the stream ahead of it.

    Arrays have shape (rows, patterns); ``terms`` holds what the wake of each drop needs of its
    Reynolds number, ``heading`` its direction of flight (2, rows, patterns).
    """

    def __init__(self, c: Constants, rows: int) -> None:
        self.c, self.lags = c, lags_of(c)
        shape = (rows, len(c.speed))
        self.factor = np.empty(shape)
        self.change = np.zeros(shape)
        self.terms = np.ones((4, *shape))
        self.heading = np.zeros((2, *shape))
        self.heading[0] = 1.0
        names = ("uz", "uy", "factor", "steady", "growth", "near", "widening")
        every = (*self.heading, self.factor, *self.terms)
        self.ahead = {name: self._ahead(a) for name, a in zip(names, every, strict=True)}
        self.places: tuple[Floats, Floats] | None = None
        self.spacing = c.speed * c.period_s
        self.factor[:] = steady_factor(c)

    def update(self, place: Floats, speed: Floats, rows: slice, leads: bool) -> Floats:
        """Drag rates (1/s) of the rows that fly in air.

        ``place`` is of all rows, ``speed`` of these (2, rows, patterns); ``leads`` tells that the
        first drop of all is among them.
        """
        c = self.c
        total = np.sqrt(speed[0] * speed[0] + speed[1] * speed[1])
        reynolds = total * c.reynolds
        rise = drag_rise(reynolds)
        rate: Floats = c.stokes * rise
        if not self.lags:
            return rate
        np.divide(speed, total, out=self.heading[:, rows])
        self.terms[0, rows], self.terms[1, rows], self.terms[2, rows] = share_terms(reynolds)
        np.divide(4.0, reynolds, out=self.terms[3, rows])
        if leads:
            self.spacing = total[0] * c.period_s
            self.terms[:, : self.lags] = self.terms[:, self.lags, None]
        if rows.start < 2 * self.lags:
            self._lead(place)
        shares = self._shares(place, rows)
        factors = self.ahead["factor"][:, rows.start - self.lags : rows.stop - self.lags]
        own = self.factor[rows]  # a view, as `factors` is: each turn sees the last one
        last = own.copy()
        own += self.change[rows]
        own_rise = RISE * reynolds**RISE_POWER
        for part in PARTS:
            if leads:
                self.factor[: self.lags] = self.factor[self.lags]
            share = np.einsum("krp,krp->rp", shares, factors)
            left = 1 - np.minimum(c.strength * share, MOST_SHARE)
            own += part * (left * (1 + own_rise * left**RISE_POWER) / rise - own)
        np.subtract(own, last, out=self.change[rows])
        slowed: Floats = rate * own
        return slowed

    def _lead(self, place: Floats) -> None:
        """Put the stream ahead of the first drop: even, as far apart as its speed makes it."""
        numbers = np.arange(self.lags, 0, -1)[:, None]
        place[0, : self.lags] = place[0, self.lags] + numbers * self.spacing

    def new(self, rows: slice) -> None:
        """Rows that were just born: what was there before is no past of theirs."""
        self.change[rows] = 0.0

    def _shares(self, place: Floats, rows: slice) -> Floats:
        """Share of air speed that each drop ahead takes away; shape (lags, rows, patterns)."""
        here = slice(rows.start - self.lags, rows.stop - self.lags)
        ahead = {name: view[:, here] for name, view in self.ahead.items()}
        if self.places is None:
            self.places = self._ahead(place[0]), self._ahead(place[1])
        dz, dy = (view[:, here] - own[rows] for view, own in zip(self.places, place, strict=True))
        uz, uy = ahead["uz"], ahead["uy"]
        behind = dz * uz
        behind += dy * uy
        dz *= uy
        dy *= uz
        dz -= dy  # the distance from the line of flight
        dz /= self.c.diameter
        dz *= dz
        behind /= self.c.diameter
        x = np.clip(behind, NEAREST, REACH)
        share = np.exp(1 - x)
        share *= ahead["near"]
        np.multiply(ahead["growth"], x, out=dy)
        np.subtract(dy, share, out=share)
        share += ahead["steady"]
        np.multiply(ahead["widening"], x, out=dy)
        dy += 0.32
        dz /= dy
        np.negative(dz, out=dz)
        np.exp(dz, out=dz)
        dz /= share
        self._fade(behind, dz)
        faded: Floats = dz
        return faded

    @staticmethod
    def _fade(behind: Floats, share: Floats) -> None:
        """Let wakes set in behind a drop and end at their reach; most need neither."""
        if behind.min() < 1:
            share *= smooth(behind)
        last = len(behind)
        while last and behind[last - 1].max() > FADES_FROM:
            last -= 1
        if last < len(behind):
            share[last:] *= smooth((REACH - behind[last:]) / (REACH - FADES_FROM))

    def _ahead(self, values: Floats) -> Floats:
        """For each lag, the values so many rows ahead of each row; shape (lags, rows, patterns).

        A view: nothing is copied, and what is written to ``values`` is seen. Rows count from the
        first that has so many ahead of it.
        """
        by_row, by_pattern = values.strides
        return as_strided(
            values[max(self.lags - 1, 0) :],
            (self.lags, len(values) - self.lags, values.shape[1]),
            (-by_row, by_row, by_pattern),
        )

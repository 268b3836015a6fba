"""Charges that put every drop of a message on its row.

The message is flown as a whole, for all wakes at once. The unknowns are the charges of its printed
drops, the equations their landings. Strokes hardly act on each other's slopes, so that each has its
own: Broyden's method starts every stroke from the slopes of one with every drop printed, and takes
only steps that bring its drops nearer. Strokes that are near enough stay as they are, so that only
windows in which one moves are flown again. The search is flown in coarse steps; what they miss is
found by a fine flight and made up for.

Source: Broyden, A class of methods for solving nonlinear simultaneous equations, Math. Comp. 19
(1965), 577-593 (the update of the inverse, first kind); kept from singular by Powell's damping (A
hybrid method for nonlinear equations, 1970; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rasterc.head.arrays import Bools, Floats
from rasterc.head.flight import fly
from rasterc.head.kept import kept
from rasterc.head.model import HeadModel
from rasterc.head.plan import StrokePlan, Throw
from rasterc.head.plates import deflection_m
from rasterc.head.wake import USUAL_WAKE
from rasterc.head.windows import WindowFlyer

TOLERANCE_M = 1e-6  # below what the electrode's converter resolves
MOST_FLIGHTS = 10
COARSE = 3  # drop periods to a step of the search
FINE_TOLERANCE_M = 2e-6  # coarse steps miss less; the last step takes it to some hundredths of it
MOST_FINE_FLIGHTS = 2
ASTRAY_M = 0.5
STEP_LIMIT = 0.15  # largest change of a charge in one go, as a part of the largest charge
LEAST_PART = 1 / 16  # of a step, below which a stroke is given up
MOST_MEASURED = 1  # times that the slopes of a stroke are measured
NUDGE = 1e-3  # to measure them, as a part of the largest step
DAMPING = 0.3  # of the largest slope, when slopes are measured near a touch of drops
LEAST_WEIGHT = 0.3  # of Broyden's denominator, below which the update is damped


@dataclass(frozen=True, slots=True, eq=False)
class Response:
    """What a stroke answers to charges, with no others near.

    ``alone_c`` has the charge that puts each row's drop in its place with no other charged drop in
    flight, ``slopes`` how far each row moves for each row's charge (m/C) when all are printed.
    """

    alone_c: Floats
    slopes: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """Charges of each slot, shape (wakes, slots), and what they leave.

    ``residual_m`` of shape (wakes, strokes) is how far off its row the worst drop of each stroke
    was before the last step; inf for one that did not land.
    """

    charges_c: Floats
    residual_m: Floats


@lru_cache(maxsize=64)
def stroke_response(head: HeadModel, throw: Throw) -> Response:
    """The response of a head's stroke, at the usual wake."""
    rows_m = np.array([head.row_m(row) for row in range(throw.rows)])
    per_charge = deflection_m(
        1.0, head.drop_mass_kg, head.field_v_m, head.exit_m - head.entry_m, head.jet_speed_m_s,
        head.throw_m,
    )  # fmt: skip
    alone = rows_m / per_charge
    for _ in range(3):
        landed = _fly(head, np.diag(alone)).diagonal()
        better = alone * rows_m / landed
        alone = np.where(np.isfinite(better) & (better > 0), better, alone)
    nudge = 1e-3 * alone.max()
    charges = np.zeros((throw.rows + 1, throw.rise_slots + 1))
    charges[:, list(throw.row_slots)] = np.vstack((alone, alone + nudge * np.eye(throw.rows)))
    landed = _fly(head, charges)[:, list(throw.row_slots)]
    slopes = (landed[1:] - landed[0]).T / nudge
    usable = np.isfinite(slopes).all() and np.linalg.cond(slopes) < 1e6
    return Response(alone, slopes if usable else np.diag(rows_m / alone))


def _fly(head: HeadModel, charges_c: Floats) -> Floats:
    """Landings under the usual wake; nan for a drop that flies beyond all bounds."""
    landed = fly(head, charges_c, wake=USUAL_WAKE, drops_per_step=COARSE).y_m
    return np.where(np.abs(landed) < ASTRAY_M, landed, np.nan)


def solve_charges(head: HeadModel, plan: StrokePlan, wakes: Sequence[float]) -> Solution:
    """The charges of a message for each wake."""
    strokes = len(plan.columns)
    if not plan.columns.any():
        return Solution(np.zeros((len(wakes), plan.slots)), np.zeros((len(wakes), strokes)))

    def make() -> dict[str, Floats]:
        found = _solve(head, plan, wakes)
        return {"charges_c": found.charges_c, "residual_m": found.residual_m}

    found = kept("charges", head, plan, wakes, None, make)
    return Solution(found["charges_c"], found["residual_m"])


def _solve(head: HeadModel, plan: StrokePlan, wakes: Sequence[float]) -> Solution:
    search = _Search(head, plan, wakes)
    search.come_nearer(TOLERANCE_M, MOST_FLIGHTS)
    search.look(coarse=1)
    search.come_nearer(FINE_TOLERANCE_M, MOST_FINE_FLIGHTS)
    residual = search.worst().reshape(len(wakes), len(plan.columns))
    return Solution(search.of_slots(search.last_step(FINE_TOLERANCE_M)), residual)


class _Search:
    """The search for charges; arrays of shape (wakes x strokes, rows), wake by wake."""

    def __init__(self, head: HeadModel, plan: StrokePlan, wakes: Sequence[float]) -> None:
        self.head, self.plan, self.wakes = head, plan, wakes
        rows = plan.throw.rows
        printed = (plan.columns[:, None] >> np.arange(rows) & 1).astype(bool)
        self.slots = plan.starts[:, None] + np.array(plan.throw.row_slots)
        self.printed: Bools = np.tile(printed, (len(wakes), 1))
        self.rows_m = np.array([head.row_m(row) for row in range(rows)])
        response = stroke_response(head, plan.throw)
        self.best = np.where(self.printed, response.alone_c, 0.0)
        self.inverse = _inverses(response.slopes, self.printed)
        self.part, self.measured = np.ones(len(self.printed)), np.zeros(len(self.printed))
        self.limit_c = STEP_LIMIT * float(response.alone_c.max())
        self.look(COARSE)

    def look(self, coarse: int) -> None:
        """Fly the best charges found, and what follows, with so many drop periods to a step."""
        self.flyer = WindowFlyer(self.head, self.head.throw_m, coarse)
        self.error = self.errors(self.best)

    def of_slots(self, charges: Floats) -> Floats:
        """The charges of each slot, shape (trials x wakes, slots)."""
        out = np.zeros((charges.size // self.slots.size, self.plan.slots))
        out[:, self.slots.ravel()] = charges.reshape(len(out), -1)
        return out

    def errors(self, charges: Floats) -> Floats:
        """How far each printed drop lands above its row; 0 for the others, nan for a lost one.

        Of charges of shape (..., wakes x strokes, rows): several trials are flown at once.
        """
        of_slots = self.of_slots(charges)
        trials = len(of_slots) // len(self.wakes)
        flown = self.flyer.fly(of_slots, [*self.wakes] * trials)
        landed = flown.y_m[:, self.slots]
        landed = np.where(np.abs(landed) < ASTRAY_M, landed, np.nan)
        return np.where(self.printed, landed.reshape(charges.shape) - self.rows_m, 0.0)

    def worst(self) -> Floats:
        """The worst error of each stroke, inf for a lost drop."""
        worst: Floats = np.nan_to_num(np.abs(self.error), nan=np.inf).max(axis=1)
        return worst

    def bounded(self, before: Floats, after: Floats) -> Floats:
        """A step that is kept short, so that a bad start does not throw it far off."""
        step = after - before
        longest = np.abs(step).max(axis=1, keepdims=True)
        near: Floats = before + step * np.minimum(1.0, self.limit_c / np.maximum(longest, 1e-300))
        return near

    def come_nearer(self, tolerance_m: float, most_flights: int) -> None:
        """Move strokes until all their drops land near enough, or so many flights are flown."""
        for _ in range(most_flights):
            moving = (self.worst() > tolerance_m) & (self.part >= LEAST_PART)
            if not moving.any():
                break
            self.measure(moving & (self.part < 0.5) & (self.measured < MOST_MEASURED))
            self.step(moving)

    def measure(self, stuck: Bools) -> None:
        """Measure the slopes of strokes that do not come nearer, a flight for each row."""
        if not stuck.any():
            return
        nudge_c = NUDGE * self.limit_c
        rows = np.flatnonzero(self.printed[stuck].any(axis=0))
        nudged = np.tile(self.best, (len(rows) + 1, 1, 1))
        for k, row in enumerate(rows):
            nudged[k, stuck & self.printed[:, row], row] += nudge_c
        found = self.errors(nudged)
        self.error[stuck] = found[-1, stuck]
        slopes = np.zeros_like(self.inverse)
        slopes[:, :, rows] = np.nan_to_num(found[:-1] - found[-1]).transpose(1, 2, 0) / nudge_c
        self.inverse[stuck] = _damped_inverses(slopes[stuck], self.printed[stuck])
        self.part[stuck] = 1.0
        self.measured[stuck] += 1

    def step(self, moving: Bools) -> None:
        """One more flight: strokes that come nearer take their step, others try a shorter one."""
        tried = np.where(moving[:, None], self.stepped(), self.best)
        found = self.errors(tried)
        change = np.nan_to_num(found) - np.nan_to_num(self.error)
        self.inverse = _broyden(self.inverse, tried - self.best, change)
        nearer = _size(found) < _size(self.error)
        self.part = np.where(nearer, 1.0, self.part / 2)
        taken = nearer | ~moving
        self.best[taken], self.error[taken] = tried[taken], found[taken]

    def stepped(self) -> Floats:
        """The charges after a step by the inverse slopes."""
        step = np.einsum("pij,pj->pi", self.inverse, np.nan_to_num(self.error))
        return self.bounded(self.best, self.best - step * self.part[:, None])

    def last_step(self, tolerance_m: float) -> Floats:
        """The charges after a step that is not flown any more, for strokes that are near enough."""
        near = self.worst() <= tolerance_m
        return np.where(near[:, None], self.stepped(), self.best)


def _size(errors: Floats) -> Floats:
    size: Floats = np.nan_to_num((errors * errors).sum(axis=1), nan=np.inf)
    return size


def _inverses(slopes: Floats, printed: Bools) -> Floats:
    """Inverse of the derivatives among the printed drops of each stroke; 0 elsewhere."""
    both = printed[:, :, None] & printed[:, None, :]
    scale = np.abs(slopes).max()
    blocks = np.where(both, slopes / scale, np.eye(slopes.shape[-1]))
    try:
        inverse = np.linalg.inv(blocks)
    except np.linalg.LinAlgError:  # drops that no charge moves: the nearest there is
        inverse = np.linalg.pinv(blocks)
    return np.where(both, inverse / scale, 0.0)


def _damped_inverses(slopes: Floats, printed: Bools) -> Floats:
    """The same for slopes that are near singular: (J' J + damping) ^ -1 J'."""
    both = printed[:, :, None] & printed[:, None, :]
    slopes = np.where(both, slopes, 0.0)
    scale = np.abs(slopes).max(axis=(1, 2), keepdims=True)
    scaled = slopes / np.where(scale > 0, scale, 1.0)
    turned = np.swapaxes(scaled, 1, 2)
    damped = turned @ scaled + DAMPING**2 * np.eye(slopes.shape[-1])
    return np.where(both, np.linalg.solve(damped, turned) / np.where(scale > 0, scale, 1.0), 0.0)


def _broyden(inverse: Floats, step: Floats, change: Floats) -> Floats:
    """Broyden's update of inverse derivatives from a step in charge and the change it made."""
    reached = np.einsum("pij,pj->pi", inverse, change)
    squares = np.einsum("pi,pi->p", step, step)
    weight = np.einsum("pi,pi->p", step, reached)
    short = weight < LEAST_WEIGHT * squares
    part = (1 - LEAST_WEIGHT) * squares / np.where(short & (squares > 0), squares - weight, 1.0)
    part = np.where(short, part, 1.0)[:, None]
    reached = part * reached + (1 - part) * step
    along = np.einsum("pi,pij->pj", step, inverse)
    weight = np.einsum("pi,pi->p", step, reached)
    usable = np.isfinite(weight) & (weight > 0)
    update = np.einsum("pi,pj->pij", step - reached, along)
    update /= np.where(usable, weight, 1.0)[:, None, None]
    return np.where(usable[:, None, None], inverse + np.nan_to_num(update), inverse)

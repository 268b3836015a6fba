"""Charges that put each drop of a stroke on its row, whatever its neighbours are.

A stroke is solved together with the one before and the one after, as all of them push each other
about in flight. The unknowns are the charges of the printed drops, the equations their landings.
Newton's method solves the stroke with every drop printed between two like it, as close as the
raster allows; Broyden's method starts from there for each pattern and idle slots, many patterns at
once, and needs no further derivatives.

Sources: Newton's method; Broyden, A class of methods for solving nonlinear simultaneous
equations, Math. Comp. 19 (1965), 577-593 (the update of the inverse, first kind).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from rasterc.head.arrays import Bools, Floats
from rasterc.head.flight import fly
from rasterc.head.model import USUAL_WAKE, HeadModel
from rasterc.head.plan import Throw
from rasterc.head.plates import deflection_m

TOLERANCE_M = 2e-7  # far below what the electrode's converter resolves
NEWTON_FLIGHTS, BROYDEN_FLIGHTS = 6, 16
REACH_SLOTS = 40  # a stroke further off than this many unprinted slots is taken for none
ASTRAY_M = 0.5
STEP_LIMIT = 0.3  # largest change of a charge in one go, as a part of the largest charge


@dataclass(frozen=True, slots=True)
class Neighbourhood:
    """A stroke between two others: columns, and the unprinted slots between them."""

    previous: int
    current: int
    following: int
    slots_before: int
    slots_after: int

    def within_reach(self, throw: Throw) -> Neighbourhood:
        """The same without strokes too far off to matter: equal ones are solved once."""
        near_before = self.previous != 0 and self.slots_before <= REACH_SLOTS
        near_after = self.following != 0 and self.slots_after <= REACH_SLOTS
        usual = throw.stroke_gap_drops
        before = self.slots_before if near_before else self.slots_after if near_after else usual
        return Neighbourhood(
            self.previous if near_before else 0,
            self.current,
            self.following if near_after else 0,
            before,
            self.slots_after if near_after else before,
        )


@dataclass(frozen=True, slots=True, eq=False)
class StrokeCharges:
    """The charges of one stroke.

    ``charges_c`` has one value per row, 0 where nothing is printed. ``residual_m`` is the largest
    distance of one of its drops from its row; nan or large when there is no solution.
    """

    charges_c: Floats
    residual_m: float

    @property
    def solved(self) -> bool:
        """Whether every drop of the stroke lands on its row."""
        return self.residual_m <= TOLERANCE_M * 5


@dataclass(slots=True)
class StrokeSolver:
    """Solves strokes of one head and raster, and remembers them.

    Equal neighbourhoods have equal charges, so a message costs as many solutions as it has
    different neighbourhoods. ``wake`` is the strength of the wake the charges are made for.
    """

    head: HeadModel
    throw: Throw
    wake: float = USUAL_WAKE
    _known: dict[Neighbourhood, StrokeCharges] = field(default_factory=dict)
    _all_on: tuple[Floats, Floats] | None = None

    def solve(
        self, neighbourhoods: Iterable[Neighbourhood]
    ) -> Mapping[Neighbourhood, StrokeCharges]:
        """The charges of each stroke in its neighbourhood."""
        asked = {n: n.within_reach(self.throw) for n in neighbourhoods}
        by_gaps: dict[tuple[int, int], list[Neighbourhood]] = {}
        for near in dict.fromkeys(asked.values()):
            if near not in self._known:
                by_gaps.setdefault((near.slots_before, near.slots_after), []).append(near)
        for gaps, group in by_gaps.items():
            self._known |= zip(group, self._solve_group(gaps, group), strict=True)
        return {n: self._known[near] for n, near in asked.items()}

    def _solve_group(
        self, gaps: tuple[int, int], group: list[Neighbourhood]
    ) -> Iterable[StrokeCharges]:
        rows = self.throw.rows
        if self._all_on is None:
            closest = (self.throw.stroke_gap_drops, self.throw.stroke_gap_drops)
            self._all_on = _Triple(self.head, self.throw, self.wake, closest).all_on()
        triple = _Triple(self.head, self.throw, self.wake, gaps)
        columns = np.array([(n.previous, n.current, n.following) for n in group])
        printed = (columns[:, :, None] >> np.arange(rows) & 1).astype(bool).reshape(len(group), -1)
        charges, errors = triple.patterns(printed, self._all_on)
        own = np.s_[rows : 2 * rows]
        for one, error in zip(charges[:, own], errors[:, own], strict=True):
            yield StrokeCharges(one, float(np.abs(error).max()))


class _Triple:
    """Three strokes flown together; arrays of (patterns, 3 x rows), stroke by stroke."""

    def __init__(self, head: HeadModel, throw: Throw, wake: float, gaps: tuple[int, int]) -> None:
        self.head, self.wake = head, wake
        length = throw.rise_slots + 1
        starts = (0, length + gaps[0], 2 * length + gaps[0] + gaps[1])
        self.slots = np.array([start + slot for start in starts for slot in throw.row_slots])
        self.rows_m = np.tile([head.row_m(row) for row in range(throw.rows)], 3)

    def errors(self, charges: Floats, printed: Bools) -> Floats:
        """How far each printed drop lands above its row; 0 for the others.

        nan for a drop that does not land, or so far off that it flies beyond all bounds.
        """
        drops = np.zeros((len(charges), self.slots.max() + 1))
        drops[:, self.slots] = charges
        landed = fly(self.head, drops, wake=self.wake).y_m[:, self.slots]
        landed = np.where(np.abs(landed) < ASTRAY_M, landed, np.nan)
        return np.where(printed, landed - self.rows_m, 0.0)

    def all_on(self) -> tuple[Floats, Floats]:
        """Charges with every drop printed, and the derivatives of landings by charges there."""
        charges = self._alone()
        slopes = np.diag(self.rows_m / charges)  # good enough if no better ones are found
        everything = np.ones((len(charges) + 1, len(charges)), dtype=bool)
        for _ in range(NEWTON_FLIGHTS):
            nudge = 1e-3 * charges.max()
            tried = np.vstack((charges, charges + nudge * np.eye(len(charges))))
            errors = self.errors(tried, everything)
            if not np.isfinite(errors).all():
                break
            slopes = (errors[1:] - errors[0]).T / nudge
            if np.abs(errors[0]).max() <= 10 * TOLERANCE_M:
                break
            charges = _moved(charges, np.linalg.lstsq(slopes, -errors[0], rcond=None)[0])
        return charges, slopes

    def _alone(self) -> Floats:
        """Charges that put each drop on its row with no other charged drop in flight."""
        head, rows = self.head, len(self.slots) // 3
        per_charge = deflection_m(
            1.0,
            head.drop_mass_kg,
            head.field_v_m,
            head.exit_m - head.entry_m,
            head.jet_speed_m_s,
            head.throw_m,
        )
        charges = self.rows_m[:rows] / per_charge
        for _ in range(2):
            tried = np.zeros((rows, len(self.slots)))
            tried[:, rows : 2 * rows] = np.diag(charges)
            errors = self.errors(tried, tried != 0)[:, rows : 2 * rows]
            landed = errors.diagonal() + self.rows_m[:rows]
            better = charges * self.rows_m[:rows] / landed
            charges = np.where(np.isfinite(better) & (better > 0), better, charges)
        return np.tile(charges, 3)

    def patterns(self, printed: Bools, all_on: tuple[Floats, Floats]) -> tuple[Floats, Floats]:
        """Charges of patterns of printed drops, and how far their drops land from their rows."""
        start, slopes = all_on
        charges = np.where(printed, start, 0.0)
        inverse = _inverses(slopes, printed)
        errors = self.errors(charges, printed)
        best_charges, best_errors = charges.copy(), errors.copy()
        open_ = np.arange(len(charges))
        for _ in range(BROYDEN_FLIGHTS):
            worst = _worst(errors[open_])
            open_ = open_[(worst > TOLERANCE_M) & np.isfinite(worst)]  # the lost are given up
            if open_.size == 0:
                break
            before, error = charges[open_], errors[open_]
            charges[open_] = _moved(before, -np.einsum("pij,pj->pi", inverse[open_], error))
            errors[open_] = self.errors(charges[open_], printed[open_])
            step, change = charges[open_] - before, errors[open_] - error
            inverse[open_] = _broyden(inverse[open_], step, change)
            better = open_[_worst(errors[open_]) < _worst(best_errors[open_])]
            best_charges[better], best_errors[better] = charges[better], errors[better]
        return best_charges, best_errors


def _worst(errors: Floats) -> Floats:
    """Largest error of each pattern; a drop that never lands is infinitely far off."""
    worst: Floats = np.nan_to_num(np.abs(errors), nan=np.inf).max(axis=1)
    return worst


def _moved(charges: Floats, step: Floats) -> Floats:
    """Charges after a step that is kept short, so that a bad start does not throw it far off."""
    limit = STEP_LIMIT * np.abs(charges).max(axis=-1, keepdims=True)
    return charges + np.clip(np.nan_to_num(step), -limit, limit)


def _inverses(slopes: Floats, printed: Bools) -> Floats:
    """Inverse of the derivatives among the printed drops of each pattern; 0 elsewhere."""
    both = printed[:, :, None] & printed[:, None, :]
    scale = np.abs(slopes).max()
    blocks = np.where(both, slopes / scale, np.eye(len(slopes)))
    try:
        inverse = np.linalg.inv(blocks)
    except np.linalg.LinAlgError:  # drops that no charge moves: the nearest there is
        inverse = np.linalg.pinv(blocks)
    return np.where(both, inverse / scale, 0.0)


def _broyden(inverse: Floats, step: Floats, change: Floats) -> Floats:
    """Broyden's update of inverse derivatives from a step in charge and the change it made."""
    reached = np.einsum("pij,pj->pi", inverse, change)
    along = np.einsum("pi,pij->pj", step, inverse)
    weight = np.einsum("pi,pi->p", step, reached)
    usable = np.isfinite(weight) & (np.abs(weight) > 1e-9 * np.einsum("pi,pi->p", step, step))
    update = (
        np.einsum("pi,pj->pij", step - reached, along)
        / np.where(usable, weight, 1.0)[:, None, None]
    )
    return np.where(usable[:, None, None], inverse + np.nan_to_num(update), inverse)

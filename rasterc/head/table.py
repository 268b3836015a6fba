"""The charge table of a whole message, and where its drops land.

`solve_strokes` finds voltages for every drop slot of a message; `fly_strokes` flies given charges,
at any throw distance and wake. Both fly the message as a whole, so the landings contain what the
solution by neighbourhoods leaves out: strokes further away, the steps of the voltage converter,
and start times rounded to the drop grid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rasterc.diagnostics import Diagnostic, fail_on_errors
from rasterc.head.arrays import Floats, Ints
from rasterc.head.charging import charges_from_volts, dac_codes, dac_volts, volts_from_charges
from rasterc.head.flight import fly
from rasterc.head.model import USUAL_WAKE, HeadModel
from rasterc.head.plan import StrokePlan
from rasterc.head.solve import Neighbourhood, StrokeCharges, StrokeSolver

MAX_THROW_MM = 100.0  # as in a profile


@dataclass(frozen=True, slots=True, eq=False)
class Landings:
    """Where the printed drops land, stroke by stroke and row by row; arrays of shape (printed,).

    Attributes:
        stroke, row, slot: which drop it is; slots count from the first drop of the message.
        x_mm: place along the travel, from where the first slot's undeflected drop would land.
        y_mm: deflection on the product; nan for a drop that does not get there.
        x_error_mm: later (+) than its place in the slanted grid of strokes. Deflected drops fly
            longer, so high rows are a little late: look at differences.
        y_error_mm: above (+) its row at the head's own throw distance.
        separation: least distance from another drop in flight, in drop diameters.
        nearest_slot: the slot of that other drop; -1 for one ahead of the message.
        plate_mm: greatest deflection between the plates.
    """

    stroke: Ints
    row: Ints
    slot: Ints
    x_mm: Floats
    y_mm: Floats
    x_error_mm: Floats
    y_error_mm: Floats
    separation: Floats
    nearest_slot: Ints
    plate_mm: Floats

    def __len__(self) -> int:
        return len(self.stroke)

    @property
    def worst_y_mm(self) -> float:
        """Largest distance of a drop from its row; nan if one does not land."""
        return float(np.abs(self.y_error_mm).max()) if len(self) else 0.0

    @property
    def spread_x_mm(self) -> float:
        """Distance along the travel between the earliest and the latest drop, by their places."""
        return float(np.ptp(self.x_error_mm)) if len(self) else 0.0

    @property
    def height_mm(self) -> float:
        """From the lowest to the highest landed drop, centre to centre."""
        return float(np.ptp(self.y_mm)) if len(self) else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class ChargeTable:
    """What the electrode does for a message, and what comes of it.

    Attributes:
        plan: the message on the drop grid.
        wanted_v: voltage of each slot as solved, shape (slots,). Unprinted drops have one too: it
            cancels what earlier drops induce on them.
        rayleigh_fraction: shape (slots,); solved charge / Rayleigh's limit.
        dac_codes: shape (slots,); the converter's codes, clipped to its range.
        volts: shape (slots,); the voltages of those codes.
        charges_c: shape (slots,); charges at those voltages. Unprinted drops count as uncharged:
            the rest the converter leaves them, below its resolution, is left out.
        residual_m: shape (strokes,); how far off its row the worst drop of each stroke is by the
            solution itself, before the converter and the rest of the message.
        landings: where the drops land at these charges.
    """

    plan: StrokePlan
    wanted_v: Floats
    rayleigh_fraction: Floats
    dac_codes: Ints
    volts: Floats
    charges_c: Floats
    residual_m: Floats
    landings: Landings


def solve_strokes(
    head: HeadModel,
    plan: StrokePlan,
    *,
    wake: float = USUAL_WAKE,
    solver: StrokeSolver | None = None,
) -> ChargeTable:
    """Find the voltages that put every drop of a message on its row.

    Args:
        head: the head.
        plan: the message on the drop grid.
        wake: strength d0 of the wake the voltages are made for, and flown with.
        solver: one for the same head, throw and wake whose earlier solutions may be used.

    Raises:
        InputError: the wake is no part of the drag.
    """
    _check(wake, None)
    if solver is None:
        solver = StrokeSolver(head, plan.throw, wake)
    if (solver.head, solver.throw, solver.wake) != (head, plan.throw, wake):
        raise ValueError("the solver was made for another head, throw or wake")
    near = neighbourhoods(plan)
    found = solver.solve(near)
    solutions = [found[n] for n in near]
    charges = _slot_charges(plan, solutions)
    wanted = volts_from_charges(charges, head.charge_per_volt_c, head.induction)
    codes = dac_codes(wanted, head.min_v, head.max_v, head.dac_bits)
    volts = dac_volts(codes, head.min_v, head.max_v, head.dac_bits)
    real = charges_from_volts(volts, head.charge_per_volt_c, head.induction)
    real = np.where(charges != 0, real, 0.0)
    return ChargeTable(
        plan=plan,
        wanted_v=wanted,
        rayleigh_fraction=charges / head.rayleigh_charge_c,
        dac_codes=codes,
        volts=volts,
        charges_c=real,
        residual_m=np.array([s.residual_m for s in solutions]),
        landings=fly_strokes(head, plan, real, wake=wake),
    )


def fly_strokes(
    head: HeadModel,
    plan: StrokePlan,
    charges_c: Floats,
    *,
    wake: float = USUAL_WAKE,
    throw_mm: float | None = None,
) -> Landings:
    """Fly the charges of a message, one per slot, to a product at ``throw_mm``.

    Raises:
        InputError: the wake is no part of the drag, or the throw no distance.
    """
    _check(wake, throw_mm)
    strokes, rows, slots = plan.printed()
    throw_m = None if throw_mm is None else throw_mm / 1000
    flown = fly(head, charges_c, wake=wake, throw_m=throw_m, follow=True)
    # the stream as it is without charges: its arrival sets the origin along the travel
    stream = fly(head, np.zeros(1), wake=wake, throw_m=throw_m)
    late_s = flown.arrival_s[0, slots] - stream.arrival_s[0, 0]
    x_mm = late_s * plan.speed_m_s * 1000
    rows_m = head.lowest_row_m + rows * head.row_pitch_m
    return Landings(
        stroke=strokes,
        row=rows,
        slot=slots,
        x_mm=x_mm,
        y_mm=flown.y_m[0, slots] * 1000,
        x_error_mm=x_mm - plan.ideal_travel_mm(strokes, rows),
        y_error_mm=(flown.y_m[0, slots] - rows_m) * 1000,
        separation=flown.separation_m[0, slots] / head.drop_diameter_m,
        nearest_slot=flown.nearest[0, slots],
        plate_mm=flown.plate_m[0, slots] * 1000,
    )


def _check(wake: float, throw_mm: float | None) -> None:
    faults = []
    if not 0 <= wake <= 1:
        help = "give the part of its drag a drop is spared behind another: 0 to 1"
        faults.append(Diagnostic("bad-wake", f"{wake:g} is no strength of a wake", help=help))
    if throw_mm is not None and not 0 < throw_mm <= MAX_THROW_MM:
        help = f"give millimetres, above 0 and up to {MAX_THROW_MM:g}"
        faults.append(Diagnostic("bad-throw", f"{throw_mm:g} mm is no throw", help=help))
    fail_on_errors(faults)


def neighbourhoods(plan: StrokePlan) -> list[Neighbourhood]:
    """Each stroke of a message between the one before and the one after it.

    A blank stroke counts as a neighbour with no drops: what lies beyond it is not looked at.
    """
    columns = [0, *plan.columns.tolist(), 0]
    length, usual = plan.throw.rise_slots + 1, plan.throw.stroke_gap_drops
    gaps = [usual, *(np.diff(plan.starts) - length).tolist(), usual]
    return [
        Neighbourhood(columns[i], columns[i + 1], columns[i + 2], gaps[i], gaps[i + 1])
        for i in range(len(plan.columns))
    ]


def _slot_charges(plan: StrokePlan, solutions: list[StrokeCharges]) -> Floats:
    """The charge of every slot: that of its drop where one is printed, else none."""
    charges = np.zeros(plan.slots)
    strokes, rows, slots = plan.printed()
    by_row = np.array([s.charges_c for s in solutions]).reshape(-1, plan.throw.rows)
    charges[slots] = by_row[strokes, rows]
    return charges

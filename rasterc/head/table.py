"""The charge table of a whole message, and where its drops land.

`solve_band` finds voltages for every drop slot of a message, for each wake anew, as a head is set
up under the wakes it has; `fly_strokes` flies given charges, at any throw distance. The landings
contain what the solution leaves out: the steps of the voltage converter.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from rasterc.diagnostics import Diagnostic, fail_on_errors
from rasterc.head.arrays import Floats, Ints
from rasterc.head.charging import charges_from_volts, dac_codes, dac_volts, volts_from_charges
from rasterc.head.flight import Flights, fly
from rasterc.head.kept import kept
from rasterc.head.model import HeadModel
from rasterc.head.plan import StrokePlan
from rasterc.head.solve import solve_charges
from rasterc.head.wake import MOST_WAKE, USUAL_WAKE
from rasterc.head.windows import WindowFlyer

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
        residual_m: shape (strokes,); how far off its row the search left the worst drop of each
            stroke, before its last step and the converter.
        wake: the strength of the wakes it was solved for, and flown with.
        landings: where the drops land at these charges.
    """

    plan: StrokePlan
    wanted_v: Floats
    rayleigh_fraction: Floats
    dac_codes: Ints
    volts: Floats
    charges_c: Floats
    residual_m: Floats
    wake: float
    landings: Landings


def solve_band(
    head: HeadModel, plan: StrokePlan, wakes: Sequence[float]
) -> tuple[ChargeTable, ...]:
    """Find the voltages that put every drop of a message on its row, for each wake.

    Args:
        head: the head.
        plan: the message on the drop grid.
        wakes: strengths of the wakes.

    Raises:
        InputError: a strength that is none.
    """
    _check(wakes, None)
    found = solve_charges(head, plan, wakes)
    wanted = volts_from_charges(found.charges_c, head.charge_per_volt_c, head.induction)
    codes = dac_codes(wanted, head.min_v, head.max_v, head.dac_bits)
    volts = dac_volts(codes, head.min_v, head.max_v, head.dac_bits)
    real = charges_from_volts(volts, head.charge_per_volt_c, head.induction)
    real = np.where(found.charges_c != 0, real, 0.0)
    landings = fly_band(head, plan, real, wakes)
    return tuple(
        ChargeTable(
            plan=plan,
            wanted_v=wanted[k],
            rayleigh_fraction=found.charges_c[k] / head.rayleigh_charge_c,
            dac_codes=codes[k],
            volts=volts[k],
            charges_c=real[k],
            residual_m=found.residual_m[k],
            wake=wake,
            landings=landings[k],
        )
        for k, wake in enumerate(wakes)
    )


def solve_strokes(head: HeadModel, plan: StrokePlan, *, wake: float = USUAL_WAKE) -> ChargeTable:
    """The same for one wake."""
    return solve_band(head, plan, [wake])[0]


def fly_band(
    head: HeadModel,
    plan: StrokePlan,
    charges_c: Floats,
    wakes: Sequence[float],
    throw_mm: float | None = None,
    *,
    keep: bool = True,
) -> tuple[Landings, ...]:
    """Fly the charges of a message, shape (wakes, slots), each with its wake.

    What was flown before comes from the user's cache; a flight that will not be asked for again
    need not be kept there.

    Raises:
        InputError: a strength that is none, or a throw that is no distance.
    """
    _check(wakes, throw_mm)
    throw_m = head.throw_m if throw_mm is None else throw_mm / 1000

    def make() -> dict[str, Floats | Ints]:
        flown = WindowFlyer(head, throw_m, follow=True).fly(charges_c, wakes)
        # the stream as it is without charges: its arrival sets the origin along the travel
        still = np.zeros((len(wakes), 1))
        stream = fly(head, still, wake=np.array(wakes, dtype=np.float64), throw_m=throw_m)
        slots = plan.printed()[2]
        found = {name: getattr(flown, name)[:, slots] for name in Flights.__slots__}
        return {**found, "stream_s": stream.arrival_s[:, 0]}

    given = [*wakes, throw_m]
    found = kept("landings", head, plan, given, charges_c, make) if keep else make()
    return tuple(
        _landings(head, plan, {name: of_wakes[k] for name, of_wakes in found.items()})
        for k in range(len(wakes))
    )


def fly_strokes(
    head: HeadModel,
    plan: StrokePlan,
    charges_c: Floats,
    *,
    wake: float = USUAL_WAKE,
    throw_mm: float | None = None,
) -> Landings:
    """The same for one wake; ``charges_c`` has one value per slot."""
    return fly_band(head, plan, charges_c[None], [wake], throw_mm)[0]


def _landings(head: HeadModel, plan: StrokePlan, flown: Mapping[str, Any]) -> Landings:
    """The landings under one wake, from those of the printed drops in flight's own units."""
    strokes, rows, slots = plan.printed()
    x_mm = (flown["arrival_s"] - flown["stream_s"]) * plan.speed_m_s * 1000
    rows_m = head.lowest_row_m + rows * head.row_pitch_m
    return Landings(
        stroke=strokes,
        row=rows,
        slot=slots,
        x_mm=x_mm,
        y_mm=flown["y_m"] * 1000,
        x_error_mm=x_mm - plan.ideal_travel_mm(strokes, rows),
        y_error_mm=(flown["y_m"] - rows_m) * 1000,
        separation=flown["separation_m"] / head.drop_diameter_m,
        nearest_slot=flown["nearest"],
        plate_mm=flown["plate_m"] * 1000,
    )


def _check(wakes: Sequence[float], throw_mm: float | None) -> None:
    faults = []
    for wake in wakes:
        if not 0 <= wake <= MOST_WAKE:
            help = f"give a factor on the usual wakes: 0 to {MOST_WAKE:g}"
            said = f"{wake:g} is no strength of a wake"
            faults.append(Diagnostic("bad-wake", said, help=help))
    if throw_mm is not None and not 0 < throw_mm <= MAX_THROW_MM:
        help = f"give millimetres, above 0 and up to {MAX_THROW_MM:g}"
        faults.append(Diagnostic("bad-throw", f"{throw_mm:g} mm is no throw", help=help))
    fail_on_errors(faults)

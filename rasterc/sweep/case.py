"""Flying one case of a job, and measuring what lands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import atan2, degrees

import msgspec
import numpy as np
from msgspec import structs

from rasterc.head.arrays import Floats
from rasterc.head.charging import charges_from_volts, volts_from_charges
from rasterc.head.model import HeadModel, head_model
from rasterc.head.plan import StrokePlan, plan_strokes
from rasterc.head.solve import stroke_response
from rasterc.head.table import ChargeTable, Landings, fly_band, solve_band
from rasterc.head.timing import height_mm
from rasterc.profile.model import LineProfile
from rasterc.sweep.around import with_surroundings
from rasterc.sweep.drifted import charge_factor, drifted
from rasterc.sweep.model import Band, Case, Charges, Figures, Job


@dataclass(frozen=True, slots=True, eq=False)
class Flown:
    """A case as flown under one wake: ``charges_c`` and ``volts`` are those of each slot.

    ``volts`` are as wanted, before the converter. ``table`` is that of the solution, None when the
    charges were not solved for this case.
    """

    wake: float

    head: HeadModel
    plan: StrokePlan
    landings: Landings
    charges_c: Floats
    volts: Floats
    table: ChargeTable | None

    def __repr__(self) -> str:
        """How many drops were flown, and how far."""
        drops = len(self.landings.row)
        return f"<Flown: {drops} printed drops, throw {self.head.throw_m * 1000:g} mm>"


def fly_case(job: Job, case: Case) -> tuple[Flown, ...]:
    """Fly a case under each of the job's wakes, with charges made under it.

    Raises:
        InputError: a profile, speed or throw that cannot be flown.
    """
    head, wakes = head_model(job.profile), job.wakes
    plan = plan_strokes(
        job.profile, job.raster, job.columns, case.speed_m_s, case.order, case.encoder_phase
    )
    if case.charges is Charges.SOLVED:
        there = replace(head, throw_m=case.throw_mm / 1000)
        return tuple(
            Flown(table.wake, there, plan, table.landings, table.charges_c, table.wanted_v, table)
            for table in solve_band(there, plan, wakes)
        )
    at = job.speed_m_s if case.solved_at_m_s is None else case.solved_at_m_s
    kept = structs.replace(job, speed_m_s=at)
    charges = _alone(head, plan, job) if case.charges is Charges.ALONE else _kept(kept, plan)
    volts = volts_from_charges(charges, head.charge_per_volt_c, head.induction)
    if case.jet is not None:
        charges = charges * charge_factor(job.profile, case.jet)
        head = drifted(head, job.profile, case.jet)
    chance = case.jet is not None or case.encoder_phase  # drawn at random: hardly flown again
    landed = fly_band(head, plan, charges, wakes, case.throw_mm, keep=not chance)
    return tuple(
        Flown(wake, head, plan, landings, charges[k], volts[k], None)
        for k, (wake, landings) in enumerate(zip(wakes, landed, strict=True))
    )


def band_of(job: Job, case: Case) -> Band:
    """Fly a case under each of the job's wakes and measure it."""
    return with_surroundings(job, case, measured(job, fly_case(job, case)))


def measured(job: Job, flown: Sequence[Flown]) -> Band:
    """The figures of a case flown."""
    return Band(tuple(one.wake for one in flown), tuple(measure(job, one) for one in flown))


def worst_of(job: Job, flown: Sequence[Flown]) -> Flown:
    """The flight that is worst to read: one with lost drops, or the largest placement error."""
    return max(flown, key=lambda one: measure(job, one).worst_pitches or float("inf"))


def _kept(job: Job, plan: StrokePlan) -> Floats:
    """The charges of the usual speed and throw, on the drops of another plan; (wakes, slots)."""
    charges = np.zeros((len(job.wakes), plan.slots))
    charges[:, plan.printed()[2]] = _usual_charges(msgspec.json.encode(job))
    return charges


@lru_cache(maxsize=4)
def _usual_charges(encoded: bytes) -> Floats:
    """Charges of the printed drops, (wakes, drops), stroke by stroke; by the text of the job."""
    job = msgspec.json.decode(encoded, type=Job)
    flown = fly_case(job, job.usual())
    return np.array([one.charges_c[one.landings.slot] for one in flown])


def _alone(head: HeadModel, plan: StrokePlan, job: Job) -> Floats:
    """Charges by voltages that suit each row's drop in a stream of uncharged ones.

    What drops induce on those after them is not made up for, nor is their repulsion in flight.
    """
    _, rows, slots = plan.printed()
    volts = np.zeros(plan.slots)
    volts[slots] = stroke_response(head, plan.throw).alone_c[rows] / head.charge_per_volt_c
    charges = charges_from_volts(volts, head.charge_per_volt_c, head.induction)
    return np.tile(charges, (len(job.wakes), 1))


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The evenly spaced, evenly leaning grid nearest to landed drops, and what is left.

    ``dx_mm`` and ``dy_mm`` are the distances of each drop from it, nan for one that is lost.
    """

    lowest_mm: float
    row_pitch_mm: float
    start_mm: float
    lean_mm: float
    dx_mm: Floats
    dy_mm: Floats


def fit_grid(landings: Landings, plan: StrokePlan, row_pitch_mm: float) -> Fit | None:
    """Fit a grid to the drops that land, by least squares; None if there are none.

    ``row_pitch_mm`` is taken where a single row tells no pitch.
    """
    rows, upright = landings.row, landings.x_mm - landings.stroke * plan.stroke_pitch_mm
    landed = np.isfinite(landings.y_mm)
    if not landed.any():
        return None
    if len(np.unique(rows[landed])) < 2:
        row = float(rows[landed][0])
        pitch, lean = row_pitch_mm, 0.0
        lowest = float(landings.y_mm[landed].mean()) - row * pitch
        start = float(upright[landed].mean())
    else:
        pitch, lowest = map(float, np.polyfit(rows[landed], landings.y_mm[landed], 1))
        lean, start = map(float, np.polyfit(rows[landed], upright[landed], 1))
    dx, dy = upright - (start + lean * rows), landings.y_mm - (lowest + pitch * rows)
    return Fit(lowest, pitch, start, lean, dx, dy)


def measure(job: Job, flown: Flown) -> Figures:
    """The figures of a flight."""
    landings, plan, head = flown.landings, flown.plan, flown.head
    near = float(landings.separation.min(initial=np.inf))
    struck = landings.plate_mm >= head.clearance_m * 1000
    lost = int((struck | ~np.isfinite(landings.y_mm)).sum())
    fit = fit_grid(landings, plan, job.profile.head.row_pitch_mm)
    slots = landings.slot
    volts = flown.volts[slots] if len(slots) else np.zeros(1)
    charges = flown.charges_c[slots] / head.rayleigh_charge_c
    residual = 0.0 if flown.table is None else float(flown.table.residual_m.max()) * 1000
    placed = _placement(job, fit) if fit and not lost else _UNPLACED
    return Figures(
        **placed,
        lowest_mm=fit.lowest_mm if fit else None,
        row_pitch_mm=fit.row_pitch_mm if fit else None,
        height_mm=_height(job, fit) if fit else None,
        slant_deg=degrees(atan2(fit.lean_mm, fit.row_pitch_mm)) if fit else None,
        merged=int((landings.separation < 1).sum()),
        near=near if np.isfinite(near) else None,
        lost=lost,
        stroke_pitch_mm=plan.stroke_pitch_mm,
        charge=float(charges.max(initial=0.0)),
        least_v=float(volts.min()),
        most_v=float(volts.max()),
        residual_mm=residual if np.isfinite(residual) else None,
    )


_UNPLACED = dict.fromkeys(("worst_mm", "rms_mm", "dx_mm", "dy_mm", "worst_pitches"))


def _height(job: Job, fit: Fit) -> float:
    return height_mm(job.character_rows, fit.row_pitch_mm, job.profile.product.dot_diameter_mm)


def _placement(job: Job, fit: Fit) -> dict[str, float]:
    """Distances from the grid: worst, rms, each way in mm, and the worst in pitches."""
    squares = fit.dx_mm**2 + fit.dy_mm**2
    return {
        "worst_mm": float(np.sqrt(squares.max())),
        "rms_mm": float(np.sqrt(squares.mean())),
        "dx_mm": float(np.abs(fit.dx_mm).max()),
        "dy_mm": float(np.abs(fit.dy_mm).max()),
        "worst_pitches": float(pitches_off(job.profile, fit).max()),
    }


def pitches_off(profile: LineProfile, fit: Fit) -> Floats:
    """How far each drop is from the grid, in wanted pitches of the axis on which it is worse off.

    Wanted, not landed ones: a code that is stretched allows no larger errors.
    """
    off: Floats = np.maximum(
        np.abs(fit.dx_mm) / profile.line.stroke_pitch_mm,
        np.abs(fit.dy_mm) / profile.head.row_pitch_mm,
    )
    return off

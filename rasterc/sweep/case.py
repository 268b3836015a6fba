"""Flying one case of a job, and measuring what lands."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import atan2, degrees, sqrt

import msgspec
import numpy as np

from rasterc.head.arrays import Floats
from rasterc.head.breakup import ohnesorge, weber
from rasterc.head.charging import charges_from_volts, volts_from_charges
from rasterc.head.model import HeadModel, head_model
from rasterc.head.plan import StrokePlan, plan_strokes
from rasterc.head.solve import Neighbourhood, StrokeSolver
from rasterc.head.table import ChargeTable, Landings, fly_strokes, solve_strokes
from rasterc.head.timing import height_mm
from rasterc.profile.flight import Flight
from rasterc.sweep.model import Case, Charges, Figures, JetChange, Job

BREAKUP_LOG = 4.0
"""ln(jet radius / first disturbance) of a driven jet: 3 to 6, common practice, no source."""


@dataclass(frozen=True, slots=True, eq=False)
class Flown:
    """A case as flown: ``charges_c`` and ``volts`` are those of each slot, shape (slots,).

    ``volts`` are as wanted, before the converter. ``table`` is that of the solution, None when the
    charges were not solved for this case.
    """

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


def fly_case(job: Job, case: Case) -> Flown:
    """Fly a case.

    Raises:
        InputError: a profile, speed or throw that cannot be flown.
    """
    head = head_model(job.profile)
    plan = plan_strokes(job.profile, job.raster, job.columns, case.speed_m_s, case.order)
    if case.charges is Charges.SOLVED:
        there = replace(head, throw_m=case.throw_mm / 1000)
        table = solve_strokes(there, plan, wake=job.wake)
        return Flown(there, plan, table.landings, table.charges_c, table.wanted_v, table)
    charges = _alone(head, plan, job) if case.charges is Charges.ALONE else _kept(job, plan)
    volts = volts_from_charges(charges, head.charge_per_volt_c, head.induction)
    if case.jet is not None:
        charges = charges * case.jet.speed  # a longer piece of jet takes more charge at one volt
        head = drifted(head, job.profile.flight, case.jet)
    landings = fly_strokes(head, plan, charges, wake=job.wake, throw_mm=case.throw_mm)
    return Flown(head, plan, landings, charges, volts, None)


def figures_of(job: Job, case: Case) -> Figures:
    """Fly a case and measure it."""
    return measure(job, fly_case(job, case))


def _kept(job: Job, plan: StrokePlan) -> Floats:
    """The charges of the usual speed and throw, on the drops of another plan."""
    charges = np.zeros(plan.slots)
    charges[plan.printed()[2]] = _usual_charges(msgspec.json.encode(job))
    return charges


@lru_cache(maxsize=4)
def _usual_charges(encoded: bytes) -> Floats:
    """Charges of the printed drops, stroke by stroke and row by row; by the text of the job."""
    job = msgspec.json.decode(encoded, type=Job)
    flown = fly_case(job, job.usual())
    return flown.charges_c[flown.landings.slot]


def _alone(head: HeadModel, plan: StrokePlan, job: Job) -> Floats:
    """Charges by voltages that suit each row's drop in a stream of uncharged ones.

    What drops induce on those after them is not made up for, nor is their repulsion in flight.
    """
    solver, gap = StrokeSolver(head, plan.throw, job.wake), plan.throw.stroke_gap_drops
    lone = [Neighbourhood(0, 1 << row, 0, gap, gap) for row in range(plan.throw.rows)]
    found = solver.solve(lone)
    by_row = np.array([found[n].charges_c[row] for row, n in enumerate(lone)])
    _, rows, slots = plan.printed()
    volts = np.zeros(plan.slots)
    volts[slots] = by_row[rows] / head.charge_per_volt_c
    return charges_from_volts(volts, head.charge_per_volt_c, head.induction)


def drifted(head: HeadModel, flight: Flight | None, jet: JetChange) -> HeadModel:
    """The head with a jet that has drifted, at the same voltages.

    Viscosity does not act on a drop in flight. It is let act through one proxy, free of drag: a
    jet of thicker ink breaks up later, so that the plates are nearer to breakup. The length of the
    jet is d sqrt(We) (1 + 3 Oh) `BREAKUP_LOG`; the electrode is taken to reach that far.

    Source: growth of disturbances on a viscous jet by Weber, ZAMM 11 (1931), 136-154.
    """
    assert flight is not None
    nozzle_m, ink = flight.jet.nozzle_um * 1e-6, flight.ink
    liquid = (ink.density_kg_m3, ink.surface_tension_n_m)
    usual = ohnesorge(nozzle_m, *liquid, ink.viscosity_mpa_s * 1e-3)
    inertia = sqrt(weber(head.jet_speed_m_s, nozzle_m, *liquid))
    later_m = nozzle_m * inertia * 3 * usual * (jet.viscosity - 1) * BREAKUP_LOG
    return replace(
        head,
        jet_speed_m_s=head.jet_speed_m_s * jet.speed,
        drop_mass_kg=head.drop_mass_kg * jet.mass,
        drop_diameter_m=head.drop_diameter_m * jet.mass ** (1 / 3),
        rayleigh_charge_c=head.rayleigh_charge_c * sqrt(jet.mass),
        entry_m=head.entry_m - later_m,
        exit_m=head.exit_m - later_m,
    )


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
    worst, rms, pitches = _placement(fit, plan) if fit and not lost else (None, None, None)
    return Figures(
        worst_mm=worst,
        rms_mm=rms,
        worst_pitches=pitches,
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


def _height(job: Job, fit: Fit) -> float:
    return height_mm(job.character_rows, fit.row_pitch_mm, job.profile.product.dot_diameter_mm)


def _placement(fit: Fit, plan: StrokePlan) -> tuple[float, float, float]:
    """Worst and rms distance from the grid in mm, and the worst in pitches."""
    squares = fit.dx_mm**2 + fit.dy_mm**2
    pitches = pitches_off(fit, plan)
    return float(np.sqrt(squares.max())), float(np.sqrt(squares.mean())), float(pitches.max())


def pitches_off(fit: Fit, plan: StrokePlan) -> Floats:
    """How far each drop is from the grid, in pitches of the axis on which it is worse off."""
    row_pitch = max(abs(fit.row_pitch_mm), 1e-6)
    off: Floats = np.maximum(
        np.abs(fit.dx_mm) / plan.stroke_pitch_mm, np.abs(fit.dy_mm) / row_pitch
    )
    return off

"""What `rasterc fly` works out: one flight, a map, a climb, a drift study."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from math import ceil
from typing import Any

from msgspec import structs, to_builtins

from rasterc.api import Print
from rasterc.checks.flown import job_of
from rasterc.diagnostics import InputError, Severity
from rasterc.head.jet import JetModel
from rasterc.head.jet_limits import electrode_faults, jet_state_faults
from rasterc.head.limits import FlightFault, flight_faults, jet_faults
from rasterc.head.line import TRIGGER_SIGMAS, line_effects
from rasterc.head.model import head_model, jet_summary
from rasterc.head.table import MAX_THROW_MM
from rasterc.output.flights import text as fly_text
from rasterc.output.flights.drift import drift_lines
from rasterc.output.flights.landings import (
    Panel,
    landed_panel,
    render_landings_png,
    render_landings_svg,
)
from rasterc.output.flights.tables import Table, figures_row, figures_table, landing_table
from rasterc.profile.model import LineProfile
from rasterc.sweep.around import with_surroundings
from rasterc.sweep.case import Flown, fly_case, measured, worst_of
from rasterc.sweep.drift import Spread, drift_cases
from rasterc.sweep.grid import POLICIES, Grid, ladder, window
from rasterc.sweep.judge import failures, holds, verdict
from rasterc.sweep.model import Band, Case, Charges, Job

Flyer = Callable[[Job, Sequence[Case]], dict[Case, Band]]
Told = Callable[..., None]
"""What says lines as they come."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a study comes to: for the terminal, for machines, as a table, and as a picture.

    ``told`` is whether its rows were said as they came, after the heading.
    """

    lines: Sequence[str]
    document: dict[str, Any]
    table: Table
    picture: Callable[[str], bytes]
    failed: bool = False
    told: bool = False


@dataclass(frozen=True, slots=True)
class Subject:
    """A print that is flown on a line."""

    printed: Print
    profile: LineProfile
    job: Job = field(repr=False)

    @property
    def title(self) -> str:
        """What is printed."""
        return " / ".join(self.printed.lines)


def subject_of(printed: Print, profile: LineProfile, speed_m_s: float | None) -> Subject:
    """The job of flying a print, at a speed or the profile's first.

    Raises:
        InputError: no raster of this height, no flight, nothing to fly.
    """
    strokes = printed.strokes(profile)
    if profile.raster(strokes.raster) is None:
        known = ", ".join(str(r.drops) for r in profile.rasters)
        raise InputError.one(
            "raster-not-thrown",
            f'"{profile.name}" throws no raster of {strokes.raster} drops',
            printed.resolved.message.raster_span,
            f"use a raster of {known} drops, or add [[raster]] drops = {strokes.raster}",
        )
    head_model(profile)
    if not strokes.drops:
        raise InputError.one("nothing-to-fly", "the message prints no drop", help="print a text")
    job = job_of(printed.subject(profile))
    assert job is not None
    return Subject(printed, profile, structs.replace(job, speed_m_s=speed_m_s or job.speed_m_s))


def one_flight(subject: Subject, throw_mm: float | None, charges: Charges) -> Outcome:
    """The message at one speed and throw."""
    job = subject.job
    case = Case(job.speed_m_s, job.throw_mm if throw_mm is None else throw_mm, charges)
    if not 0 < case.throw_mm <= MAX_THROW_MM:
        help = f"give millimetres, above 0 and up to {MAX_THROW_MM:g}"
        raise InputError.one("bad-throw", f"--throw {case.throw_mm:g} is no throw", help=help)
    flown = fly_case(job, case)
    band = with_surroundings(job, case, measured(job, flown))
    faults = [*_jet_faults(job.profile), *_worst_faults(flown)]
    worst = worst_of(job, flown)
    document = {
        "verdict": str(verdict(job, band)),
        "flight": figures_row(job, case, band),
        "jet": to_builtins(jet_summary(job.profile)),
        "wake_band": [
            {"wake": wake, **to_builtins(figures), "fails": "; ".join(failures(job, figures))}
            for wake, figures in zip(band.wakes, band.figures, strict=True)
        ],
        "faults": [to_builtins(fault) for fault in faults],
        "drops": landing_table(worst).as_dicts(),
    }
    title = f"{subject.title}: {case.speed_m_s:g} m/s, {case.throw_mm:g} mm, {charges}"
    panel = landed_panel(f"{title}, wake {worst.wake:g}", job, worst)
    return Outcome(
        _flight_lines(job, case, band, faults),
        document,
        landing_table(worst),
        lambda kind: drawn([panel], 1, kind),
        bool(faults) or not holds(job, band),
    )


def _jet_faults(profile: LineProfile) -> list[FlightFault]:
    """What is wrong with the jet and its charging, before any drop flies."""
    model = JetModel(profile)
    drag = (fault for fault in jet_faults(jet_summary(profile)) if fault.code == "reynolds")
    return [*jet_state_faults(model, model.state()), *electrode_faults(model), *drag]


def _worst_faults(flown: Sequence[Flown]) -> list[FlightFault]:
    """What is wrong with the charge tables of all wakes: of each kind and row the worst."""
    worst: dict[tuple[str, int | None], FlightFault] = {}
    for one in flown:
        for fault in flight_faults(one.head, one.table) if one.table else ():
            key = fault.code, fault.row
            known = worst.get(key)
            if known is None or fault.excess > known.excess:
                worst[key] = fault
    return sorted(worst.values(), key=lambda fault: fault.severity is not Severity.ERROR)


def _flight_lines(job: Job, case: Case, band: Band, faults: Sequence[FlightFault]) -> list[str]:
    words = fly_text.CHARGES_IN_WORDS[case.charges]
    lines = [
        f"  {case.speed_m_s:g} m/s, throw {case.throw_mm:g} mm, raster {job.raster.drops}; {words}",
        *fly_text.figures_lines(job, band.worst),
        *fly_text.not_converged(band.worst),
        *fly_text.verdict_lines(job, case, band),
    ]
    for fault in faults:
        more = f", and {fault.count - 1} more of that row" if fault.count > 1 else ""
        said = f"{fault.severity}[{fault.code}]: {fault.message}{more}"
        lines += [fly_text.wrapped(said), fly_text.wrapped(f"help: {fault.help}", "    ")]
    return lines


def speed_throw_map(subject: Subject, grid: Grid, flyer: Flyer, width: int, told: Told) -> Outcome:
    """A map by throw and speed of both policies, with their windows; rows are told as they come.

    As many rows are flown at a time as ``width`` flights take.
    """
    job = subject.job
    found: dict[Case, Band] = {}
    rows = ceil(width / len(grid.speeds_m_s))
    windows = []
    for policy in POLICIES:
        told(*fly_text.map_heading(grid, policy))
        for start in range(0, len(grid.throws_mm), rows):
            part = Grid(grid.speeds_m_s, grid.throws_mm[start : start + rows])
            found |= flyer(job, part.cases([policy]))
            told(*(fly_text.map_row(job, grid, found, throw, policy) for throw in part.throws_mm))
        windows.append(window(job, grid, found, policy))
        told(*fly_text.map_end(job, grid, found, windows[-1]))
    told(fly_text.wrapped(fly_text.MAP_LEGEND))
    ordered = {case: found[case] for case in grid.cases()}
    table = figures_table(job, ordered)

    def picture(kind: str) -> bytes:
        from rasterc.output.flights.plots import map_plot

        return map_plot(job, grid, ordered, kind)

    document = {"windows": to_builtins(windows), "map": table.as_dicts()}
    return Outcome([], document, table, picture, not all(w.points for w in windows), told=True)


def climb(
    subject: Subject, fastest_m_s: float | None, flyer: Flyer, width: int, told: Told
) -> Outcome:
    """The message from the line's own speeds up to a fastest; speeds are told as they come.

    Up to ``width`` of them are flown at a time.
    """
    job = subject.job
    speeds = ladder(job, fastest_m_s)
    jitter = job.profile.line.trigger_jitter_us
    late = None if jitter is None else TRIGGER_SIGMAS * jitter
    told(f"  from {speeds[0]:g} up to {speeds[-1]:g} m/s")
    found: dict[Case, Band] = {}
    for start in range(0, len(speeds), width):
        part = [Case(v, job.throw_mm, trigger_us=late) for v in speeds[start : start + width]]
        flown = flyer(job, part)
        found |= flown
        told(*(x for case, band in flown.items() for x in fly_text.climb_lines(job, case, band)))
    told(*fly_text.climb_end(job, found), *fly_text.line_lines(job, speeds))
    table = figures_table(job, found)

    def picture(kind: str) -> bytes:
        from rasterc.output.flights.plots import climb_plot

        return climb_plot(job, found, kind)

    document = {
        "fastest_m_s": speeds[-1],
        "climb": table.as_dicts(),
        "line": to_builtins(line_effects(job.profile, speeds)),
    }
    failed = not all(holds(job, band) for band in found.values())
    return Outcome([], document, table, picture, failed, told=True)


def drift_study(subject: Subject, samples: int, seed: int, flyer: Flyer) -> Outcome:
    """The message with jets that drift at random."""
    job, spread = subject.job, Spread()
    found = flyer(job, drift_cases(job, samples, seed, spread))
    table = figures_table(job, found)

    def picture(kind: str) -> bytes:
        from rasterc.output.flights.plots import drift_plot

        return drift_plot(job, found, kind)

    return Outcome(
        [
            f"  {samples} flights, seed {seed}, {job.speed_m_s:g} m/s, throw {job.throw_mm:g} mm",
            *drift_lines(job, found, spread),
            *fly_text.line_lines(job, [job.speed_m_s]),
        ],
        {
            "seed": seed,
            "spread": to_builtins(spread),
            "flights": table.as_dicts(),
            "line": to_builtins(line_effects(job.profile, [job.speed_m_s])),
        },
        table,
        picture,
        not all(holds(job, band) for band in found.values()),
    )


def drawn(panels: Sequence[Panel], columns: int, kind: str) -> bytes:
    """A picture of landed drops, "svg" or "png"."""
    if kind == "svg":
        return render_landings_svg(panels, columns).encode(errors="replace")
    return render_landings_png(panels, columns)

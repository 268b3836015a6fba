"""Flights in words and small tables, within 80 columns."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import takewhile
from textwrap import fill

from rasterc.diagnostics import visible
from rasterc.head.line import line_effects
from rasterc.sweep.grid import Grid, Window
from rasterc.sweep.judge import (
    UNSOLVED_MM,
    Verdict,
    band_failures,
    failures,
    holds,
    in_words,
    verdict,
)
from rasterc.sweep.model import Band, Case, Charges, Figures, Job

WIDTH = 80
CAUTIONS = (
    "The model compares rasters, firing orders, speeds and throws. It makes no claim of "
    "micrometres: wakes, image charges and the shape of the field are not known that well.",
    "Plates work at kilovolts: only trained people open a head.",
    "Ink and make-up are flammable solvents: follow the safety data sheet of the ink.",
)
CHARGES_IN_WORDS = {
    Charges.FIXED: "charges of the usual speed and throw, kept",
    Charges.FOLLOWED: "charges of the speed before on the way up, as a head follows in steps",
    Charges.SOLVED: "charges solved for each speed and throw",
    Charges.ALONE: "each drop charged as if it flew alone",
}


def cautions() -> str:
    """What to keep in mind, wrapped."""
    return "\n".join(fill(f"Note: {text}", WIDTH, subsequent_indent="      ") for text in CAUTIONS)


def wrapped(text: str, indent: str = "  ") -> str:
    """A sentence on as many lines as it takes."""
    shown = visible(text)  # else a line break in a name would begin a line of its own
    return fill(shown, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")


def figures_lines(job: Job, figures: Figures) -> list[str]:
    """The figures of one flight, a line each."""
    f, flight = figures, job.profile.flight
    assert flight is not None
    placed = "not told: drops are lost"
    if f.dx_mm is not None and f.dy_mm is not None:
        along, across = f.dx_mm / job.profile.line.stroke_pitch_mm, f.dy_mm / _row_pitch_mm(job)
        placed = (
            f"off by {f.dx_mm:.3f} mm along ({along:.2f} pitches), {f.dy_mm:.3f} mm across "
            f"({across:.2f})"
        )
    near = "all far from others"
    if f.near is not None:
        near = f"{f.near:.2f} drop diameters apart at least, {f.merged} touching"
    return [
        f"  placement   {placed}",
        f"  in flight   {near}, {f.lost} lost",
        f"  capitals    {number(f.height_mm, 2)} mm high, leaning {number(f.slant_deg, 1)} degrees",
        f"  strokes     {f.stroke_pitch_mm:.3f} mm apart "
        f"({job.profile.line.stroke_pitch_mm:g} wanted)",
        f"  charge      up to {f.charge * 100:.0f} % of Rayleigh's limit",
        f"  electrode   {f.least_v:.0f} to {f.most_v:.0f} V "
        f"({flight.electrode.min_v:g} to {flight.electrode.max_v:g} there are)",
    ]


def _row_pitch_mm(job: Job) -> float:
    return job.profile.head.row_pitch_mm


def verdict_lines(job: Job, case: Case, band: Band) -> list[str]:
    """The verdict over all wakes; where it depends on them, which fail and by what."""
    found = verdict(job, band)
    listed = ", ".join(f"{wake:g}" for wake in band.wakes)
    if found is Verdict.HOLDS:
        return [wrapped(f"{found}: readable by every limit, under wakes of {listed}")]
    lines = [wrapped(f"{found}: of wakes of {listed}, looked at each with charges of its own")]
    for wake, figures in zip(band.wakes, band.figures, strict=True):
        failed = failure_lines(job, case, figures, " " * 4)
        lines += [f"  under {wake:g} " + ("it fails:" if failed else "it is readable"), *failed]
    return lines


def not_converged(figures: Figures) -> list[str]:
    """A word where the search for charges did not come to its end."""
    left = figures.residual_mm
    if left is not None and left <= UNSOLVED_MM:
        return []
    said = "a drop was lost" if left is None else f"one drop was still {left:.3f} mm off its row"
    return [wrapped(f"not converged: when the search for charges ended, {said}")]


def failure_lines(job: Job, case: Case, figures: Figures, indent: str = "  ") -> list[str]:
    """Each failure in a sentence."""
    found = failures(job, figures)
    return [wrapped(f"{kind}: {in_words(job, case, figures, kind)}", indent) for kind in found]


def number(value: float | None, digits: int) -> str:
    """A number, or a dash for none."""
    return "-" if value is None else f"{value:.{digits}f}"


def table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows with columns lined up: the first to the left, the others to the right."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        "  " + "  ".join((row[0].ljust(widths[0]), *map(str.rjust, row[1:], widths[1:]))).rstrip()
        for row in rows
    ]


def comparison(job: Job, named: Iterable[tuple[str, Band]]) -> list[str]:
    """Several flights side by side, one row each, by the worst of all wakes."""
    rows = [["", "off", "along", "across", "high", "lean", "apart", "volts", "holds"]]
    for name, band in named:
        f = band.worst
        rows.append(
            [
                name,
                number(f.worst_pitches, 2),
                number(f.dx_mm, 3),
                number(f.dy_mm, 3),
                number(f.height_mm, 2),
                number(f.slant_deg, 1),
                number(f.near, 2),
                f"{f.most_v:.0f}",
                SHORT[verdict(job, band)],
            ]
        )
    return table(rows)


SHORT = {Verdict.HOLDS: "yes", Verdict.DEPENDS: "partly", Verdict.FAILS: "no"}
LEGEND = wrapped(
    "off: worst placement error, pitches; along and across: the same in mm; high: capitals, mm; "
    "lean: degrees; apart: least distance in flight, drop diameters; holds: under all wakes "
    "(yes), some (partly) or none (no)"
)


def map_heading(grid: Grid, policy: Charges) -> list[str]:
    """What a map tells, and its speeds."""
    speeds = "".join(f"{v:>6g} " for v in grid.speeds_m_s)
    return [
        f"{CHARGES_IN_WORDS[policy]}: worst placement error, pitches",
        f"  throw mm \\ m/s{speeds}".rstrip(),
    ]


MARKS = {Verdict.HOLDS: " ", Verdict.DEPENDS: "?", Verdict.FAILS: "!"}


def map_row(
    job: Job, grid: Grid, found: Mapping[Case, Band], throw_mm: float, policy: Charges
) -> str:
    """One throw of a map, speed by speed."""
    bands = [found[Case(speed, throw_mm, policy)] for speed in grid.speeds_m_s]
    cells = [
        f"{number(band.worst.worst_pitches, 2):>6}{MARKS[verdict(job, band)]}" for band in bands
    ]
    return f"  {throw_mm:<14g}{''.join(cells)}".rstrip()


def map_end(job: Job, grid: Grid, found: Mapping[Case, Band], result: Window) -> list[str]:
    """The window of a map, and what ends it."""
    return [window_in_words(result), *_why_not(job, grid, found, result.charges), ""]


MAP_LEGEND = (
    "by the worst of all wakes; ? depends on the wake, ! not readable or not to be done under any; "
    "nothing is known between points"
)


def window_in_words(found: Window) -> str:
    """The window in a sentence."""
    if not found.points:
        return wrapped("window: none, the message does not hold at the usual speed and throw")
    return wrapped(
        f"window: {found.slowest_m_s:g} to {found.fastest_m_s:g} m/s and {found.nearest_mm:g} to "
        f"{found.furthest_mm:g} mm ({found.points} points, all hold)"
    )


def _why_not(job: Job, grid: Grid, found: Mapping[Case, Band], policy: Charges) -> list[str]:
    """How often each failure occurs."""
    counts: dict[str, int] = {}
    for case in grid.cases([policy]):
        for failure in band_failures(job, found[case]):
            counts[failure] = counts.get(failure, 0) + 1
    if not counts:
        return []
    listed = ", ".join(f"{name} at {n}" for name, n in counts.items())
    return [wrapped(f"of {len(grid.cases([policy]))} points fail by: {listed}")]


def climb_lines(job: Job, case: Case, band: Band) -> list[str]:
    """What happens at a speed, and all that fails there."""
    f, failed = band.worst, band_failures(job, band)
    told = next((g for g in band.figures if set(failed) <= set(failures(job, g))), f)
    off, lean = number(f.worst_pitches, 2), number(f.slant_deg, 0)
    return [
        f"{case.speed_m_s:6g} m/s  {verdict(job, band)}: {off} pitches off, lean {lean} degrees",
        *(wrapped(f"{k}: {in_words(job, case, told, k)}", " " * 8) for k in failed),
    ]


def climb_end(job: Job, found: Mapping[Case, Band]) -> list[str]:
    """How far up the line it holds, without a gap."""
    held = [(case.speed_m_s, holds(job, band)) for case, band in found.items()]
    unbroken = [speed for speed, _ in takewhile(lambda one: one[1], held)]
    later = [f"{speed:g}" for speed, fine in held[len(unbroken) :] if fine]
    if unbroken:
        said = f"holds up to {unbroken[-1]:g} m/s, of the speeds looked at"
    else:
        said = "does not hold at the slowest of these speeds"
        said = said if later else "holds at none of these speeds"
    again = f"; and again at {', '.join(later)} m/s, with a gap below" if later else ""
    return ["", wrapped(said + again)]


def line_lines(job: Job, speeds_m_s: Sequence[float]) -> list[str]:
    """What speeding up, encoder steps and trigger do at each speed, as far as the profile tells."""
    return [
        wrapped(f"at {effect.speed_m_s:g} m/s the line makes codes: {said}")
        for effect in line_effects(job.profile, speeds_m_s)
        if (said := effect.in_words())
    ]

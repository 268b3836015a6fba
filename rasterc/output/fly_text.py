"""Flights in words and small tables, within 80 columns."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from textwrap import fill

from rasterc.diagnostics import visible
from rasterc.sweep.drift import Range, Spread, range_of
from rasterc.sweep.grid import POLICIES, Grid, Window
from rasterc.sweep.judge import failures, in_words
from rasterc.sweep.model import Case, Charges, Figures, Job

WIDTH = 80
CAUTIONS = (
    "The model compares rasters, firing orders, speeds and throws. It makes no claim of "
    "micrometres: wakes, image charges and the shape of the field are not known that well.",
    "Plates work at kilovolts: only trained people open a head.",
    "Ink and make-up are flammable solvents: follow the safety data sheet of the ink.",
)
CHARGES_IN_WORDS = {
    Charges.FIXED: "charges of the usual speed and throw, kept",
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
    if f.worst_pitches is not None:
        placed = (
            f"{f.worst_pitches:.2f} pitches off at worst "
            f"({f.worst_mm:.3f} mm, rms {f.rms_mm:.3f} mm)"
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


def wake_lines(job: Job, band: Mapping[float, Figures]) -> list[str]:
    """What the same charges come to with wakes of other strengths, and where they would fail."""
    off = ", ".join(f"{number(f.worst_pitches, 2)} at {wake:g}" for wake, f in band.items())
    lines = [f"  wake        strength unsure; off by {off}"]
    for wake, figures in band.items():
        if failed := failures(job, figures):
            lines.append(wrapped(f"at wake {wake:g} it fails: {', '.join(failed)}", " " * 14))
    return lines


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


def comparison(job: Job, named: Iterable[tuple[str, Figures]]) -> list[str]:
    """Several flights side by side: one row each."""
    rows = [["", "off", "rms", "high", "lean", "apart", "charge", "volts", "reads"]]
    for name, f in named:
        rows.append(
            [
                name,
                number(f.worst_pitches, 2),
                number(f.rms_mm, 3),
                number(f.height_mm, 2),
                number(f.slant_deg, 1),
                number(f.near, 2),
                f"{f.charge * 100:.0f} %",
                f"{f.most_v:.0f}",
                "no" if failures(job, f) else "yes",
            ]
        )
    return table(rows)


LEGEND = wrapped(
    "off: worst placement error, pitches; rms: mm; high: capitals, mm; lean: degrees; apart: "
    "least distance in flight, drop diameters; charge: of Rayleigh's limit"
)


def map_lines(
    job: Job, grid: Grid, found: Mapping[Case, Figures], windows: Sequence[Window]
) -> list[str]:
    """The map of each policy, and the window of it."""
    lines: list[str] = []
    for policy, found_window in zip(POLICIES, windows, strict=True):
        lines += [f"{CHARGES_IN_WORDS[policy]}: worst placement error, pitches"]
        lines += table(_map_rows(job, grid, found, policy))
        lines += [window_in_words(found_window), *_why_not(job, grid, found, policy), ""]
    return [*lines, "  ! not readable, or the head cannot do it; nothing is known between points"]


def _map_rows(
    job: Job, grid: Grid, found: Mapping[Case, Figures], policy: Charges
) -> list[list[str]]:
    rows = [["throw mm \\ m/s", *(f"{v:g} " for v in grid.speeds_m_s)]]
    for throw in grid.throws_mm:
        row = [f"{throw:g}"]
        for speed in grid.speeds_m_s:
            figures = found[Case(speed, throw, policy)]
            mark = "!" if failures(job, figures) else " "
            row.append(number(figures.worst_pitches, 2) + mark)
        rows.append(row)
    return rows


def window_in_words(found: Window) -> str:
    """The window in a sentence."""
    if not found.points:
        return wrapped("window: none, the message fails at the usual speed and throw already")
    return wrapped(
        f"window: {found.slowest_m_s:g} to {found.fastest_m_s:g} m/s and {found.nearest_mm:g} to "
        f"{found.furthest_mm:g} mm ({found.points} points, all readable)"
    )


def _why_not(job: Job, grid: Grid, found: Mapping[Case, Figures], policy: Charges) -> list[str]:
    """How often each failure occurs."""
    counts: dict[str, int] = {}
    for case in grid.cases([policy]):
        for failure in failures(job, found[case]):
            counts[failure] = counts.get(failure, 0) + 1
    if not counts:
        return []
    listed = ", ".join(f"{name} at {n}" for name, n in counts.items())
    return [wrapped(f"of {len(grid.cases([policy]))} points fail by: {listed}")]


def run_lines(job: Job, found: Mapping[Case, Figures]) -> list[str]:
    """What happens at each speed, and all that fails there."""
    lines = []
    for case, figures in found.items():
        failed = failure_lines(job, case, figures, " " * 8)
        state = "fails" if failed else "readable"
        off, lean = number(figures.worst_pitches, 2), number(figures.slant_deg, 0)
        lines.append(f"{case.speed_m_s:6g} m/s  {state}: {off} pitches off, lean {lean} degrees")
        lines += failed
    fine = [case.speed_m_s for case, f in found.items() if not failures(job, f)]
    told = f"readable up to {max(fine):g} m/s" if fine else "readable at none of these speeds"
    return [*lines, "", f"  {told}, of the speeds looked at"]


_DRIFTING = (
    ("worst_pitches", "placement, pitches", 2),
    ("rms_mm", "rms, mm", 3),
    ("height_mm", "height, mm", 2),
    ("lowest_mm", "lowest row, mm", 2),
    ("slant_deg", "lean, degrees", 1),
    ("near", "apart, diameters", 2),
)


def drift_lines(job: Job, found: Mapping[Case, Figures], spread: Spread) -> list[str]:
    """The scatter of each figure, and how many flights fail and by what."""
    rows = [["", "least", "5 %", "middle", "95 %", "largest"]]
    for name, label, digits in _DRIFTING:
        drawn = range_of(list(found.values()), name)
        rows.append([label, *_range_cells(drawn, digits)])
    failed = [failures(job, f) for f in found.values()]
    counts = {kind: sum(kind in f for f in failed) for f in failed for kind in f}
    fine = sum(not f for f in failed)
    why = "".join(f", {kind} {n}" for kind, n in counts.items())
    assumed = (
        f"drift (one standard deviation, an assumption): jet speed {spread.speed * 100:g} %, drop "
        f"mass {spread.mass * 100:g} %, viscosity {spread.viscosity * 100:g} %. Charges stay as "
        "they are. Viscosity acts through a later breakup only, no drag in it: a proxy."
    )
    return [*table(rows), f"  readable in {fine} of {len(found)} flights{why}", wrapped(assumed)]


def _range_cells(drawn: Range | None, digits: int) -> list[str]:
    if drawn is None:
        return ["-"] * 5
    values = (drawn.least, drawn.low, drawn.middle, drawn.high, drawn.largest)
    return [f"{value:.{digits}f}" for value in values]

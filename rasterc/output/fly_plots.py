"""Diagrams of maps, runs and drift studies, by matplotlib (extra ``plots``)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from io import BytesIO
from typing import Any

from rasterc.sweep.extras import needed
from rasterc.sweep.grid import POLICIES, Grid
from rasterc.sweep.judge import MOST_PITCHES, MOST_SLANT_DEG, failures
from rasterc.sweep.model import Case, Charges, Figures, Job

TITLES = {
    Charges.FIXED: "charges of the usual speed and throw",
    Charges.SOLVED: "charges solved for each point",
    Charges.ALONE: "no correction",
}
NOTE = "a model for comparing; no claim of micrometres"


def _figure(columns: int, width: float = 5.0) -> tuple[Any, Any]:
    """A figure and its axes, without pyplot and its windows."""
    module = needed("matplotlib.figure", "plots", "a diagram")
    figure = module.Figure(figsize=(width * columns, 4.2), layout="constrained")
    return figure, figure.subplots(1, columns, squeeze=False)[0]


def saved(figure: Any, kind: str) -> bytes:
    """PNG or SVG; the same bytes for the same figures."""
    matplotlib = needed("matplotlib", "plots", "a diagram")
    figure.supxlabel(NOTE, fontsize=7, color="#666666")
    out = BytesIO()
    metadata = {"Date": None} if kind == "svg" else {}
    with matplotlib.rc_context({"svg.hashsalt": "rasterc"}):
        figure.savefig(out, format=kind, dpi=120, metadata=metadata)
    return out.getvalue()


def map_plot(job: Job, grid: Grid, found: Mapping[Case, Figures], kind: str) -> bytes:
    """Worst placement error by speed and throw, one diagram for each policy.

    Each point says its error in pitches; those that cannot be read or thrown are crossed out.
    """
    figure, axes = _figure(len(POLICIES))
    for axis, policy in zip(axes, POLICIES, strict=True):
        image = _heat(axis, job, grid, found, policy)
    figure.colorbar(image, ax=list(axes), label="worst placement error, pitches")
    return saved(figure, kind)


def _heat(axis: Any, job: Job, grid: Grid, found: Mapping[Case, Figures], policy: Charges) -> Any:
    worst = [[_error(found[Case(v, t, policy)]) for v in grid.speeds_m_s] for t in grid.throws_mm]
    image = axis.imshow(
        worst, origin="lower", aspect="auto", cmap="viridis_r", vmin=0, vmax=MOST_PITCHES
    )
    for i, throw in enumerate(grid.throws_mm):
        for j, speed in enumerate(grid.speeds_m_s):
            figures = found[Case(speed, throw, policy)]
            failed = failures(job, figures)
            colour = "white" if _error(figures) > MOST_PITCHES / 2 else "black"
            said = "lost" if figures.worst_pitches is None else f"{figures.worst_pitches:.2f}"
            said = "\n".join((said, *failed)) if failed else said
            axis.text(j, i, said, ha="center", va="center", fontsize=7, color=colour)
            if failed:
                axis.plot([j - 0.45, j + 0.45], [i - 0.45, i + 0.45], color="#c4301f", lw=1)
    axis.set_xticks(range(len(grid.speeds_m_s)), [f"{v:g}" for v in grid.speeds_m_s])
    axis.set_yticks(range(len(grid.throws_mm)), [f"{t:g}" for t in grid.throws_mm])
    axis.set(xlabel="line speed, m/s", ylabel="throw, mm", title=TITLES[policy])
    return image


def _error(figures: Figures) -> float:
    """The error in pitches, beyond all scales for lost drops."""
    return 99.0 if figures.worst_pitches is None else figures.worst_pitches


def run_plot(job: Job, found: Mapping[Case, Figures], kind: str) -> bytes:
    """Placement, slant and stretch of a code by line speed."""
    figure, axes = _figure(3, 3.6)
    speeds = [case.speed_m_s for case in found]
    stretch = [f.stroke_pitch_mm / job.profile.line.stroke_pitch_mm for f in found.values()]
    lean = [None if f.slant_deg is None else abs(f.slant_deg) for f in found.values()]
    lines: Sequence[tuple[str, Sequence[float | None], float]] = (
        ("worst placement error, pitches", [f.worst_pitches for f in found.values()], MOST_PITCHES),
        ("lean, degrees", lean, MOST_SLANT_DEG),
        ("length of the code / wanted length", stretch, 1.0),
    )
    good = [not failures(job, f) for f in found.values()]
    for axis, (label, values, limit) in zip(axes, lines, strict=True):
        numbers = [float("nan") if value is None else value for value in values]
        axis.plot(speeds, numbers, color="#444444", lw=1)
        for speed, number, fine in zip(speeds, numbers, good, strict=True):
            axis.plot(speed, number, "o" if fine else "x", color="#1b7f4b" if fine else "#c4301f")
        axis.axhline(limit, color="#c4301f", lw=0.8, ls="--")
        axis.set(xlabel="line speed, m/s", title=label, xscale="log")
        axis.set_xticks(speeds[::2], [f"{v:g}" for v in speeds[::2]])
        axis.set_xticks([], minor=True)
        axis.set_ylim(bottom=0)
    return saved(figure, kind)


def drift_plot(job: Job, found: Mapping[Case, Figures], kind: str) -> bytes:
    """How placement, height and slant scatter."""
    figure, axes = _figure(3, 3.6)
    shown = (
        ("worst_pitches", "worst placement error, pitches", MOST_PITCHES),
        ("height_mm", "height of capitals, mm", job.profile.product.min_character_height_mm),
        ("slant_deg", "lean, degrees", None),
    )
    for axis, (name, label, limit) in zip(axes, shown, strict=True):
        values = [v for f in found.values() if (v := getattr(f, name)) is not None]
        axis.hist(values, bins=min(30, max(5, len(values) // 4)), color="#4a6fa5")
        if limit is not None:
            axis.axvline(limit, color="#c4301f", lw=0.8, ls="--")
        axis.set(title=label, ylabel="flights")
    return saved(figure, kind)

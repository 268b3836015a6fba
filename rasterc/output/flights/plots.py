"""Diagrams of maps, runs and drift studies, by matplotlib (extra ``plots``)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from io import BytesIO
from math import isnan
from typing import Any

from rasterc.sweep.drifted import breakup_room
from rasterc.sweep.extras import needed
from rasterc.sweep.grid import POLICIES, Grid
from rasterc.sweep.judge import MOST_PITCHES, MOST_SLANT_DEG, Verdict, band_failures, holds, verdict
from rasterc.sweep.model import Band, Case, Charges, Figures, Job

TITLES = {
    Charges.FIXED: "charges of the usual speed and throw",
    Charges.FOLLOWED: "charges of the speed before",
    Charges.SOLVED: "charges solved for each point",
    Charges.ALONE: "no correction",
}
GOOD, UNSURE, BAD = "#1b7f4b", "#c77f1a", "#c4301f"
LOOKS = {Verdict.HOLDS: (GOOD, "o"), Verdict.DEPENDS: (UNSURE, "s"), Verdict.FAILS: (BAD, "x")}
ON_CELL = {"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 1.0}
NOTE = "a model for comparing; no claim of micrometres"


def figure_of(columns: int, width: float = 5.0) -> tuple[Any, Any]:
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


def map_plot(job: Job, grid: Grid, found: Mapping[Case, Band], kind: str) -> bytes:
    """Worst placement error by speed and throw, over all wakes, one diagram for each policy.

    Each point says its error in pitches. Those that cannot be read or thrown are crossed out once
    where that depends on the wake, twice where it fails under all.
    """
    figure, axes = figure_of(len(POLICIES))
    for axis, policy in zip(axes, POLICIES, strict=True):
        image = _heat(axis, job, grid, found, policy)
    figure.colorbar(image, ax=list(axes), label="worst placement error, pitches")
    figure.suptitle("/ depends on the wake   X fails under all wakes", fontsize=8, color=BAD)
    return saved(figure, kind)


def _heat(axis: Any, job: Job, grid: Grid, found: Mapping[Case, Band], policy: Charges) -> Any:
    worst = [
        [_error(found[Case(v, t, policy)].worst) for v in grid.speeds_m_s] for t in grid.throws_mm
    ]
    image = axis.imshow(
        worst, origin="lower", aspect="auto", cmap="viridis_r", vmin=0, vmax=MOST_PITCHES
    )
    for i, throw in enumerate(grid.throws_mm):
        for j, speed in enumerate(grid.speeds_m_s):
            band = found[Case(speed, throw, policy)]
            figures, failed = band.worst, band_failures(job, band)
            said = "lost" if figures.worst_pitches is None else f"{figures.worst_pitches:.2f}"
            said = "\n".join((said, *failed)) if failed else said
            ends = ([j - 0.45, j + 0.45], [i - 0.45, i + 0.45])
            if failed:
                axis.plot(*ends, color=BAD, lw=1)
            if verdict(job, band) is Verdict.FAILS:
                axis.plot(ends[0], ends[1][::-1], color=BAD, lw=1)
            axis.text(j, i, said, ha="center", va="center", fontsize=7, bbox=ON_CELL)
    axis.set_xticks(range(len(grid.speeds_m_s)), [f"{v:g}" for v in grid.speeds_m_s])
    axis.set_yticks(range(len(grid.throws_mm)), [f"{t:g}" for t in grid.throws_mm])
    axis.set(xlabel="line speed, m/s", ylabel="throw, mm", title=TITLES[policy])
    return image


def _error(figures: Figures) -> float:
    """The error in pitches, beyond all scales for lost drops."""
    return 99.0 if figures.worst_pitches is None else figures.worst_pitches


def climb_plot(job: Job, found: Mapping[Case, Band], kind: str) -> bytes:
    """Placement, slant and stretch of a code by line speed, the worst of all wakes."""
    figure, axes = figure_of(3, 3.8)
    speeds = [case.speed_m_s for case in found]
    worst = [band.worst for band in found.values()]
    stretch = [f.stroke_pitch_mm / job.profile.line.stroke_pitch_mm for f in worst]
    lean = [None if f.slant_deg is None else abs(f.slant_deg) for f in worst]
    lines: Sequence[tuple[str, Sequence[float | None], float]] = (
        ("worst placement error, pitches", [f.worst_pitches for f in worst], MOST_PITCHES),
        ("lean, degrees", lean, MOST_SLANT_DEG),
        ("length of the code / wanted length", stretch, 1.0),
    )
    found_to_be = [verdict(job, band) for band in found.values()]
    for axis, (label, values, limit) in zip(axes, lines, strict=True):
        numbers = [float("nan") if value is None else value for value in values]
        axis.plot(speeds, numbers, color="#888888", lw=1)
        for kind_of, (colour, mark) in LOOKS.items():
            at = [k for k, v in enumerate(found_to_be) if v is kind_of]
            axis.plot([speeds[k] for k in at], [numbers[k] for k in at], mark, color=colour,
                      label=str(kind_of))  # fmt: skip
        axis.axhline(limit, color=BAD, lw=0.8, ls="--", label="limit")
        axis.set(xlabel="line speed, m/s", title=label, xscale="log")
        axis.set_xticks(speeds, [f"{v:g}" for v in speeds], rotation=90, fontsize=7)
        axis.set_xticks([], minor=True)
        known = [value for value in numbers if not isnan(value)]
        axis.set_ylim(0, 1.08 * max(limit, *known))
    axes[0].legend(fontsize=7)
    return saved(figure, kind)


def drift_plot(job: Job, found: Mapping[Case, Band], kind: str) -> bytes:
    """How placement, height and slant scatter, the worst of all wakes for each jet."""
    shown = [
        ("worst_pitches", "worst placement error, pitches", (MOST_PITCHES,)),
        ("height_mm", "height of capitals, mm", _told(job.profile.product.min_character_height_mm)),
        ("slant_deg", "lean, degrees", ()),
    ]
    if any(band.worst.breakup_periods is not None for band in found.values()):
        shown.append(("breakup_periods", "breakup later, drop periods", _phase_limits(job)))
    figure, axes = figure_of(len(shown), 3.8)
    groups = {True: ("holds", GOOD), False: ("does not hold", BAD)}
    for axis, (name, label, limits) in zip(axes, shown, strict=True):
        by_group = {
            fine: [
                value
                for band in found.values()
                if holds(job, band) is fine and (value := getattr(band.worst, name)) is not None
            ]
            for fine in groups
        }
        every = [value for values in by_group.values() for value in values]
        _histogram(axis, by_group, groups, [*every, *limits])
        for limit in limits:
            axis.axvline(
                limit, color=BAD, lw=0.8, ls="--", label="limit" if axis is axes[0] else ""
            )
        axis.set(title=label, ylabel="flights")
        axis.yaxis.get_major_locator().set_params(integer=True)
    axes[0].legend(fontsize=7)
    failed = [failure for band in found.values() for failure in band_failures(job, band)]
    counts = ", ".join(f"{name} {failed.count(name)}" for name in dict.fromkeys(failed))
    figure.suptitle(f"of {len(found)} flights fail by: {counts or 'none'}", fontsize=8)
    return saved(figure, kind)


def _told(limit: float | None) -> tuple[float, ...]:
    return () if limit is None else (limit,)


def _phase_limits(job: Job) -> tuple[float, ...]:
    """How far breakup may move, where the head does not follow it."""
    flight, room = job.profile.flight, breakup_room(job.profile)
    assert flight is not None
    if flight.electrode.phase_followed or isnan(room.periods):
        return ()
    return -room.periods, room.periods


def _histogram(axis: Any, by_group: Any, groups: Any, every: Sequence[float]) -> None:
    """Bars over the values there are and their limit, or the words that there are none."""
    if not any(by_group.values()):
        axis.text(0.5, 0.5, "drops are lost in every flight", ha="center", transform=axis.transAxes)
        return
    edges = bin_edges(every)
    axis.hist(
        list(by_group.values()), bins=edges, stacked=True,
        color=[colour for _, colour in groups.values()],
        label=[name for name, _ in groups.values()],
    )  # fmt: skip


def bin_edges(every: Sequence[float]) -> list[float]:
    """Edges of 20 bars over all values: a little wider, or rounding leaves out the outer ones.

    >>> edges = bin_edges([0.1, 0.5])
    >>> edges[0] < 0.1, edges[-1] > 0.5
    (True, True)
    """
    middle, room = sum((min(every), max(every))) / 2, max(max(every) - min(every), 1e-3) * 1.001
    return [middle + room * (k / 20 - 0.5) for k in range(21)]

"""Charges kept, followed and solved as a line runs up: in words and as a picture."""

from __future__ import annotations

from collections.abc import Mapping

from rasterc.output.flights.plots import BAD, LOOKS, TITLES, figure_of, saved
from rasterc.output.flights.text import CHARGES_IN_WORDS, SHORT, number, table, wrapped
from rasterc.sweep.judge import MOST_PITCHES, band_failures, verdict
from rasterc.sweep.model import Band, Case, Charges, Job
from rasterc.sweep.rivals import RUN_UP_CHARGES

COLOURS = {Charges.FIXED: "#d8b48a", Charges.FOLLOWED: "#2f6db3", Charges.SOLVED: "#222222"}
# apart where they lie on each other
WIDTHS = {Charges.FIXED: 5.0, Charges.FOLLOWED: 2.5, Charges.SOLVED: 0.9}
NAMES = {Charges.FIXED: "kept", Charges.FOLLOWED: "followed", Charges.SOLVED: "solved"}


def run_up_lines(job: Job, found: Mapping[Case, Band]) -> list[str]:
    """Placement errors along and across by speed, the worst of all wakes; where each ends."""
    rows = [
        ["m/s", *(part for kind in RUN_UP_CHARGES for part in (NAMES[kind], "across", "holds"))]
    ]
    for speed in sorted({case.speed_m_s for case in found}):
        row = [f"{speed:g}"]
        for kind in RUN_UP_CHARGES:
            band = _at(found, kind, speed)
            off = (number(band.worst.dx_mm, 3), number(band.worst.dy_mm, 3))
            row += [*off, SHORT[verdict(job, band)]]
        rows.append(row)
    return [
        *(wrapped(f"{NAMES[kind]}: {CHARGES_IN_WORDS[kind]}") for kind in RUN_UP_CHARGES),
        wrapped("worst placement error along the travel under each name, and across it, mm"),
        "",
        *table(rows),
        *map(wrapped, run_up_ends(job, found)),
    ]


def run_up_ends(job: Job, found: Mapping[Case, Band]) -> list[str]:
    """How far up the line each kind of charges holds."""
    return [_end(job, found, kind) for kind in RUN_UP_CHARGES]


def _at(found: Mapping[Case, Band], kind: Charges, speed: float) -> Band:
    return next(b for c, b in found.items() if c.charges is kind and c.speed_m_s == speed)


def _end(job: Job, found: Mapping[Case, Band], kind: Charges) -> str:
    """How far up the line these charges hold, and what ends them."""
    held = 0.0
    for case in sorted((c for c in found if c.charges is kind), key=lambda c: c.speed_m_s):
        failed = band_failures(job, found[case])
        if failed:
            ends = f"then fails at {case.speed_m_s:g} m/s by {', '.join(failed)}"
            return f"{NAMES[kind]}: " + (f"holds up to {held:g} m/s, {ends}" if held else ends[5:])
        held = case.speed_m_s
    return f"{NAMES[kind]}: holds at all speeds looked at, up to {held:g} m/s"


def run_up_plot(job: Job, found: Mapping[Case, Band], kind: str) -> bytes:
    """The worst placement error along and across by speed, and the limit of each."""
    figure, axes = figure_of(2, 4.6)
    speeds = sorted({case.speed_m_s for case in found})
    pitches = job.profile.line.stroke_pitch_mm, job.profile.head.row_pitch_mm
    sides = (("dx_mm", "along the travel"), ("dy_mm", "across it"))
    for axis, (name, title), pitch in zip(axes, sides, pitches, strict=True):
        for charges in RUN_UP_CHARGES:
            bands = [_at(found, charges, speed) for speed in speeds]
            values = [getattr(band.worst, name) for band in bands]
            numbers = [float("nan") if value is None else value for value in values]
            axis.plot(
                speeds, numbers, color=COLOURS[charges], lw=WIDTHS[charges], label=TITLES[charges]
            )
            for speed, value, band in zip(speeds, numbers, bands, strict=True):
                colour, mark = LOOKS[verdict(job, band)]
                axis.plot([speed], [value], mark, color=colour, ms=5)
        axis.axhline(pitch * MOST_PITCHES, color=BAD, lw=0.8, ls="--", label="limit: half a pitch")
        axis.set(xlabel="line speed, m/s", title=f"worst placement error {title}, mm")
        axis.set_xticks(speeds, [f"{v:g}" for v in speeds], rotation=60, fontsize=8)
        axis.set_ylim(bottom=0)
    for found_to_be, (colour, mark) in LOOKS.items():
        axes[0].plot([], [], mark, color=colour, label=str(found_to_be))
    axes[0].legend(fontsize=7)
    return saved(figure, kind)

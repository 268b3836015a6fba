"""Flights of jets that drift, in words."""

from __future__ import annotations

from collections.abc import Mapping
from math import isnan

from rasterc.output.flights.text import table, wrapped
from rasterc.sweep.drift import Range, Spread, range_of
from rasterc.sweep.drifted import breakup_room
from rasterc.sweep.judge import band_failures, holds_followed
from rasterc.sweep.model import Band, Case, Job

_DRIFTING = (
    ("worst_pitches", "placement, pitches", 2),
    ("dx_mm", "along the travel, mm", 3),
    ("dy_mm", "across it, mm", 3),
    ("height_mm", "height, mm", 2),
    ("lowest_mm", "lowest row, mm", 2),
    ("slant_deg", "lean, degrees", 1),
    ("near", "apart, diameters", 2),
)
_AROUND = (  # told for some profiles only
    ("breakup_periods", "breakup later, periods", 2),
    ("start_mm", "start late, mm", 2),
)


def drift_lines(job: Job, found: Mapping[Case, Band], spread: Spread) -> list[str]:
    """The scatter of each figure, and how many flights fail and by what."""
    rows = [["", "least", "5 %", "middle", "95 %", "largest"]]
    worst = [band.worst for band in found.values()]
    for name, label, digits in (*_DRIFTING, *_AROUND):
        drawn = range_of(worst, name)
        if drawn is not None or (name, label, digits) in _DRIFTING:
            rows.append([label, *_range_cells(drawn, digits)])
    failed = [band_failures(job, band) for band in found.values()]
    counts = {kind: sum(kind in f for f in failed) for f in failed for kind in f}
    fine = sum(not f for f in failed)
    why = "".join(f", {kind} {n}" for kind, n in counts.items())
    return [
        *table(rows),
        wrapped(f"holds in {fine} of {len(found)} flights{why}"),
        *_phase_lines(job, found),
        wrapped(
            f"drift (one standard deviation, an assumption): jet speed {spread.speed * 100:g} % "
            f"and drop mass with it, drop mass besides {spread.mass * 100:g} % by the width of the "
            f"jet, viscosity {spread.viscosity * 100:g} %. Charges stay as they are."
        ),
    ]


def _phase_lines(job: Job, found: Mapping[Case, Band]) -> list[str]:
    """What becomes of the phase of charging, as far as the profile tells."""
    flight, room = job.profile.flight, breakup_room(job.profile)
    assert flight is not None
    if isnan(room.periods):
        said = "the phase of charging is not looked at: the profile does not tell "
        return [wrapped(said + "modulation or breakup_mm, and settle_us")]
    if flight.electrode.phase_followed:
        return [wrapped("the head follows the phase of charging as breakup moves")]
    fine = sum(holds_followed(job, band) for band in found.values())
    said = (
        f"it would hold in {fine} if the head followed the phase of charging: as it was set, "
        f"breakup may move by {room.periods:.2f} drop periods"
    )
    return [wrapped(said)]


def _range_cells(drawn: Range | None, digits: int) -> list[str]:
    if drawn is None:
        return ["-"] * 5
    values = (drawn.least, drawn.low, drawn.middle, drawn.high, drawn.largest)
    return [f"{value:.{digits}f}" for value in values]

"""Tables of flights, as CSV and as plain JSON values."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from msgspec import structs

from rasterc.sweep.case import Flown
from rasterc.sweep.judge import band_failures, failures, holds, verdict
from rasterc.sweep.model import Band, Case, Job

Cell: TypeAlias = str | int | float | bool | None


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under named columns."""

    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]

    def as_csv(self) -> bytes:
        """CSV by RFC 4180, UTF-8; nothing in a cell stands for None."""
        out = io.StringIO()
        writer = csv.writer(out)
        writer.writerow(self.columns)
        writer.writerows(self.rows)
        return out.getvalue().encode(errors="replace")

    def as_dicts(self) -> list[dict[str, Cell]]:
        """A JSON object for each row."""
        return [dict(zip(self.columns, row, strict=True)) for row in self.rows]


def landing_table(flown: Flown) -> Table:
    """One row for each printed drop: where it lands, and what the electrode does for it.

    Strokes and rows count from 0. Places are mm along the travel and from the jet's axis, errors
    mm from the wanted place, charges parts of Rayleigh's limit.
    """
    landings = flown.landings
    slots = landings.slot
    charges = flown.charges_c[slots] / flown.head.rayleigh_charge_c
    numbers: Sequence[Iterable[float]] = (
        landings.x_mm, landings.y_mm, landings.x_error_mm, landings.y_error_mm,
        landings.separation, flown.volts[slots], charges,
    )  # fmt: skip
    places = zip(landings.stroke.tolist(), landings.row.tolist(), slots.tolist(), strict=True)
    rows = (
        (*place, *(_finite(float(value)) for value in values))
        for place, *values in zip(places, *numbers, strict=True)
    )
    columns = (
        "stroke", "row", "slot", "x_mm", "y_mm", "x_error_mm", "y_error_mm",
        "separation_diameters", "volts", "rayleigh_part",
    )  # fmt: skip
    return Table(columns, tuple(rows))


def _finite(value: float) -> float | None:
    """None for nan and infinity, which JSON has no numbers for."""
    return value if abs(value) < float("inf") else None


def figures_row(job: Job, case: Case, band: Band) -> dict[str, Cell]:
    """A case, the worst of its figures, what comes of it, and what fails under which wakes."""
    out: dict[str, Cell] = {
        "speed_m_s": case.speed_m_s,
        "throw_mm": case.throw_mm,
        "charges": str(case.charges),
    }
    if case.solved_at_m_s is not None:
        out["solved_at_m_s"] = case.solved_at_m_s
    if case.jet is not None:
        out |= {f"jet_{name}": value for name, value in structs.asdict(case.jet).items()}
    worst, profile = band.worst, job.profile
    out |= structs.asdict(worst) | {
        "dx_pitches": _parts(worst.dx_mm, profile.line.stroke_pitch_mm),
        "dy_pitches": _parts(worst.dy_mm, profile.head.row_pitch_mm),
    }
    under = [
        f"{wake:g}" for wake, f in zip(band.wakes, band.figures, strict=True) if failures(job, f)
    ]
    return out | {
        "readable": holds(job, band),
        "verdict": str(verdict(job, band)),
        "fails": "; ".join(band_failures(job, band)),
        "fails_under_wakes": "; ".join(under),
    }


def _parts(error_mm: float | None, pitch_mm: float) -> float | None:
    return None if error_mm is None else error_mm / pitch_mm


def figures_table(
    job: Job, found: Mapping[Case, Band], names: Mapping[Case, str] | None = None
) -> Table:
    """One row for each case; a column of ``names`` first if there are any."""
    rows = []
    for case, band in found.items():
        named: dict[str, Cell] = {"name": names[case]} if names else {}
        rows.append(named | figures_row(job, case, band))
    return table_of(rows)


def table_of(rows: Sequence[Mapping[str, Cell]]) -> Table:
    """A table of rows with the same names."""
    columns = tuple(rows[0]) if rows else ()
    return Table(columns, tuple(tuple(row[name] for name in columns) for row in rows))

"""What `rasterc fly --compare` works out: flights side by side, in figures and pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import partial

from msgspec import structs

from rasterc.api import Print, load_text
from rasterc.cli.flights import Flyer, Outcome, Subject, drawn, subject_of
from rasterc.head.model import head_model
from rasterc.output import fly_text
from rasterc.output.fly_run_up import run_up_lines, run_up_plot
from rasterc.output.fly_tables import Cell, figures_row, figures_table, table_of
from rasterc.output.landings import landed_panel
from rasterc.profile.model import RasterTiming
from rasterc.source.quoting import quoted
from rasterc.sweep.case import Flown, fly_case, measured, worst_of
from rasterc.sweep.judge import band_failures, holds, rounded_down, verdict
from rasterc.sweep.model import Band, Case, Job
from rasterc.sweep.rivals import (
    at_height,
    fastest_m_s,
    firing_cases,
    own_order,
    run_up_cases,
)

FONT_ROWS = (16, 12, 9, 7, 5)  # the upright fonts that come with rasterc


class Comparison(StrEnum):
    """What `fly --compare` compares."""

    FIRING = "firing"
    RASTERS = "rasters"
    CHARGES = "charges"


def compare(subject: Subject, what: Comparison, flyer: Flyer) -> Outcome:
    """Flights side by side, in figures and pictures."""
    if what is Comparison.FIRING:
        return _compare_firing(subject, flyer)
    if what is Comparison.RASTERS:
        return _compare_rasters(subject)
    return _compare_charges(subject, flyer)


def _compare_firing(subject: Subject, flyer: Flyer) -> Outcome:
    job = subject.job
    cases = firing_cases(job)
    found = flyer(job, list(cases.values()))
    own = own_order(job)
    names = {case: name + (", own" if name == own else "") for name, case in cases.items()}
    ranked = sorted(found, key=lambda case: _rank(job, found[case]))
    table = figures_table(job, found, {case: name for name, case in cases.items()})

    def picture(kind: str) -> bytes:
        flown = [(names[case], worst_of(job, fly_case(job, case))) for case in ranked]
        return drawn([landed_panel(name, job, one) for name, one in flown], 1, kind)

    best = ranked[0]
    said = "ranked by the worst of all wakes: " + (
        f"fire {names[best]}" if holds(job, found[best]) else "none holds throughout"
    )
    lines = [
        *fly_text.comparison(job, [(names[case], found[case]) for case in ranked]),
        fly_text.LEGEND,
        fly_text.wrapped(said),
    ]
    failed = not any(holds(job, band) for band in found.values())
    document = {"profile_order": own, "firing": table.as_dicts()}
    return Outcome(lines, document, table, picture, failed)


def _rank(job: Job, band: Band) -> tuple[bool, int, float]:
    """Worse is larger: what does not hold, what fails by more, what is further off."""
    off = band.worst.worst_pitches
    failed = band_failures(job, band)
    return not holds(job, band), len(failed), float("inf") if off is None else off


def _compare_charges(subject: Subject, flyer: Flyer) -> Outcome:
    """Charges kept, followed and solved as the line runs up."""
    job = subject.job
    found = flyer(job, run_up_cases(job))
    table = figures_table(job, found)
    return Outcome(
        run_up_lines(job, found),
        {"charges": table.as_dicts()},
        table,
        partial(run_up_plot, job, found),
        not any(holds(job, band) for band in found.values()),
    )


@dataclass(frozen=True, slots=True)
class _Entry:
    """One raster with the lines it is to carry, set to one height of text."""

    raster: RasterTiming
    font_rows: int
    lines: tuple[str, ...]
    job: Job
    case: Case
    flown: tuple[Flown, ...]
    band: Band
    drops: int

    @property
    def name(self) -> str:
        many = "line" if len(self.lines) == 1 else "lines"
        return f"raster {self.raster.drops}, {len(self.lines)} {many} of {self.font_rows}"

    @property
    def fastest_m_s(self) -> float:
        return fastest_m_s(self.job.profile, self.raster)


def _compare_rasters(subject: Subject) -> Outcome:
    """The lines of the message on every raster of the profile that carries them, at one height.

    And with one line more, which is the longest said twice.
    """
    lines = subject.printed.lines
    more = (*lines, max(lines, key=len))
    given, added = list(_entries(subject, lines)), list(_entries(subject, more))
    entries = given + added
    rows, panels = [], []
    for entry in entries:
        rows.append(_entry_row(entry))
        panels.append(landed_panel(entry.name, entry.job, worst_of(entry.job, entry.flown)))
    table = table_of(rows)
    said = [
        fly_text.wrapped(
            f"capitals as high as now, each at {subject.job.speed_m_s:g} m/s, or as fast as it "
            "follows"
        ),
        "",
        *_raster_table(entries),
        fly_text.wrapped(
            "m/s: as fast as the raster follows at this height; a code: drops in it; ink: of a "
            "code, ug; off: worst placement error under all wakes, pitches"
        ),
        fly_text.wrapped(_advice(given)),
        fly_text.wrapped(_price(given, added)),
        fly_text.wrapped("how well each font reads: rasterc reading"),
    ]
    return Outcome(
        said, {"rasters": table.as_dicts()}, table,
        lambda kind: drawn(panels, 1, kind), _best(given) is None,
    )  # fmt: skip


def _entries(subject: Subject, lines: Sequence[str]) -> Iterator[_Entry]:
    for raster in sorted(subject.profile.rasters, key=lambda r: r.drops):
        fits = (rows for rows in FONT_ROWS if len(lines) * (rows + 1) - 1 <= raster.drops)
        rows = next(fits, None)
        if rows is None:
            continue
        profile = at_height(subject.profile, raster, rows, subject.job.character_rows)
        speed = min(subject.job.speed_m_s, rounded_down(fastest_m_s(profile, raster)))
        printed = _set(lines, raster.drops, rows)
        job = structs.replace(subject_of(printed, profile, speed).job, character_rows=rows)
        case = job.usual()
        drops = sum(column.bit_count() for column in job.columns)
        flown = fly_case(job, case)
        yield _Entry(raster, rows, tuple(lines), job, case, flown, measured(job, flown), drops)


def _set(lines: Sequence[str], drops: int, rows: int) -> Print:
    """Lines in the demo font of so many rows, stacked on a raster."""
    said = " ".join(f"line: {quoted(line)}" for line in lines)
    source = f"message compared {{ raster {drops} font upright-{rows} block {{ {said} }} }}"
    return load_text(source, name="the compared text").resolve()


def _ink_ug(entry: _Entry) -> float:
    return entry.drops * head_model(entry.job.profile).drop_mass_kg * 1e9


def _entry_row(entry: _Entry) -> dict[str, Cell]:
    said: dict[str, Cell] = {
        "raster": entry.raster.drops,
        "guard_drops": entry.raster.guard_drops,
        "firing": str(entry.raster.firing),
        "lines": len(entry.lines),
        "font_rows": entry.font_rows,
        "fastest_m_s": entry.fastest_m_s,
        "drops": entry.drops,
        "ink_ug": _ink_ug(entry),
    }
    return said | figures_row(entry.job, entry.case, entry.band)


def _raster_table(entries: Sequence[_Entry]) -> list[str]:
    rows = [["", "m/s", "high", "a code", "ink", "off", "apart", "holds"]]
    for entry in entries:
        f = entry.band.worst
        rows.append(
            [
                entry.name,
                fly_text.number(rounded_down(entry.fastest_m_s), 2),
                fly_text.number(f.height_mm, 2),
                str(entry.drops),
                fly_text.number(_ink_ug(entry), 2),
                fly_text.number(f.worst_pitches, 2),
                fly_text.number(f.near, 2),
                fly_text.SHORT[verdict(entry.job, entry.band)],
            ]
        )
    return fly_text.table(rows)


def _best(entries: Sequence[_Entry]) -> _Entry | None:
    """The fastest of those that hold under all wakes."""
    good = [entry for entry in entries if holds(entry.job, entry.band)]
    return max(good, key=lambda entry: entry.fastest_m_s, default=None)


def _advice(entries: Sequence[_Entry]) -> str:
    best = _best(entries)
    if best is None:
        return "no raster of the profile carries these lines under all wakes"
    return (
        f"take {best.name}: of those that hold under all wakes it follows the fastest line, "
        f"{rounded_down(best.fastest_m_s):g} m/s; more rows to a character read better and cost "
        "speed"
    )


def _price(given: Sequence[_Entry], added: Sequence[_Entry]) -> str:
    """What one line more costs: the speed of the best with it against that of the best without."""
    now, then = _best(given), _best(added)
    if then is None or now is None:
        return "one line more: no raster of the profile carries it under all wakes"
    less = 1 - then.fastest_m_s / now.fastest_m_s
    return (
        f"one line more takes {then.name}, up to {rounded_down(then.fastest_m_s):g} m/s: "
        f"{less * 100:.0f} % less"
    )

"""What `rasterc fly --compare` works out: flights side by side, in figures and pictures."""

from __future__ import annotations

from enum import StrEnum

from msgspec import structs

from rasterc.api import Print, load_text
from rasterc.cli.flights import Flyer, Outcome, Subject, drawn, subject_of
from rasterc.output import fly_text
from rasterc.output.fly_tables import figures_row, figures_table, table_of
from rasterc.output.landings import landed_panel
from rasterc.source.words import quoted
from rasterc.sweep.case import fly_case, measure
from rasterc.sweep.model import Case, Charges
from rasterc.sweep.rivals import TEXT_ROWS, firing_cases, own_order, same_height


class Comparison(StrEnum):
    """What `fly --compare` compares."""

    FIRING = "firing"
    RASTERS = "rasters"
    CHARGES = "charges"


def compare(subject: Subject, what: Comparison, flyer: Flyer) -> Outcome:
    """Flights side by side, in figures and pictures."""
    if what is Comparison.FIRING:
        return _compare_firing(subject, flyer)
    return _compare_rasters(subject) if what is Comparison.RASTERS else _compare_charges(subject)


def _compare_firing(subject: Subject, flyer: Flyer) -> Outcome:
    job = subject.job
    cases = firing_cases(job)
    found = flyer(job, list(cases.values()))
    names = {case: name for name, case in cases.items()}
    own = own_order(job)
    named = [(n + (", own" if n == own else ""), found[c]) for c, n in names.items()]
    table = figures_table(job, found, names)

    def picture(kind: str) -> bytes:
        panels = [landed_panel(names[case], job, fly_case(job, case)) for case in found]
        return drawn(panels, 1, kind)

    lines = [*fly_text.comparison(job, named), fly_text.LEGEND]
    return Outcome(lines, {"profile_order": own, "firing": table.as_dicts()}, table, picture)


def _compare_charges(subject: Subject) -> Outcome:
    """No correction against solved charges at three speeds and three throws."""
    job = subject.job
    slow, fast = job.speed_m_s * 0.5, max(*job.profile.line.speeds_m_s, job.speed_m_s * 1.5)
    speeds = [float(f"{v:.3g}") for v in (slow, job.speed_m_s, fast)]
    throws = [float(f"{job.throw_mm * part:.3g}") for part in (0.8, 1.0, 1.2)]
    rows, panels, named = [], [], []
    for throw in throws:
        for speed in speeds:
            for charges in (Charges.ALONE, Charges.SOLVED):
                case = Case(speed, throw, charges)
                flown = fly_case(job, case)
                figures = measure(job, flown)
                name = f"{speed:g} m/s, {throw:g} mm, {charges}"
                named.append((name, figures))
                rows.append(figures_row(job, case, figures))
                panels.append(landed_panel(name, job, flown))
    lines = [*fly_text.comparison(job, named), fly_text.LEGEND]
    table = table_of(rows)
    return Outcome(lines, {"charges": table.as_dicts()}, table, lambda kind: drawn(panels, 6, kind))


def _compare_rasters(subject: Subject) -> Outcome:
    """The longest line of the message on 7 and on 9 drops of the same height."""
    text = max(subject.printed.lines, key=len)
    lines = [f'  "{text}" at {subject.job.speed_m_s:g} m/s, drops closer on 9 than on 7']
    rows, panels = [], []
    for drops in TEXT_ROWS:
        profile = same_height(subject.profile, subject.job.raster, drops)
        job = structs.replace(
            subject_of(_on_raster(text, drops), profile, subject.job.speed_m_s).job,
            character_rows=drops,
        )
        flown = fly_case(job, job.usual())
        figures = measure(job, flown)
        count = len(flown.landings)
        name = f"{drops} drops high ({count} in {len(job.columns)} strokes)"
        lines += ["", f"  {name}", *fly_text.figures_lines(job, figures)]
        first: dict[str, str | int | float | bool | None] = {
            "raster": drops, "drops": count, "strokes": len(job.columns),
        }  # fmt: skip
        rows.append(first | figures_row(job, job.usual(), figures))
        panels.append(landed_panel(f"{name}: {text}", job, flown))
    table = table_of(rows)
    return Outcome(
        lines, {"text": text, "rasters": table.as_dicts()}, table,
        lambda kind: drawn(panels, 1, kind),
    )  # fmt: skip


def _on_raster(text: str, drops: int) -> Print:
    """A text in the demo font of so many drops."""
    line = quoted(text)
    source = f"message compared {{ raster {drops} font upright-{drops} block {{ line: {line} }} }}"
    return load_text(source, name="the compared text").resolve()

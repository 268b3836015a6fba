"""What `rasterc fly --compare` works out: flights side by side, in figures and pictures."""

from __future__ import annotations

from enum import StrEnum
from functools import partial

from rasterc.cli.fly.flights import Flyer, Outcome, Subject, drawn
from rasterc.cli.fly.rasters import Equal, compare_rasters
from rasterc.output.flights import text as fly_text
from rasterc.output.flights.landings import landed_panel
from rasterc.output.flights.run_up import run_up_ends, run_up_lines, run_up_plot
from rasterc.output.flights.tables import figures_table
from rasterc.sweep.case import fly_case, worst_of
from rasterc.sweep.judge import band_failures, holds
from rasterc.sweep.model import Band, Job
from rasterc.sweep.rivals import (
    firing_cases,
    own_order,
    run_up_cases,
)


class Comparison(StrEnum):
    """What `fly --compare` compares."""

    FIRING = "firing"
    RASTERS = "rasters"
    CHARGES = "charges"


def compare(subject: Subject, what: Comparison, equal: str, flyer: Flyer) -> Outcome:
    """Flights side by side, in figures and pictures."""
    if what is Comparison.FIRING:
        return _compare_firing(subject, flyer)
    if what is Comparison.RASTERS:
        return compare_rasters(subject, Equal(equal), flyer)
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
    document = {"profile_order": own, "firing": table.as_dicts(), "advice": [said]}
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
        {"charges": table.as_dicts(), "advice": run_up_ends(job, found)},
        table,
        partial(run_up_plot, job, found),
        not any(holds(job, band) for band in found.values()),
    )

"""What `rasterc fly --tolerance` works out: how far each thing may drift, and all together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

from msgspec import to_builtins

from rasterc.cli.fly.flights import Flyer, Outcome, Subject, Told
from rasterc.output.flights import text as fly_text
from rasterc.output.flights.tables import Table
from rasterc.output.flights.tolerance import (
    HEADING,
    LEGEND,
    side_lines,
    together_lines,
    tolerance_plot,
    tolerance_table,
    untold_lines,
)
from rasterc.sweep.drifted import unjudged
from rasterc.sweep.drifting import all_drifting
from rasterc.sweep.model import Job
from rasterc.sweep.tolerance import (
    Flights,
    Side,
    Together,
    check_draws,
    sides,
    together,
    usual_failures,
)


@dataclass(frozen=True, slots=True)
class Draws:
    """How many draws of all things together, and their seed."""

    count: int
    seed: int


def tolerance_study(
    subject: Subject, draws: Draws, flyer: Flyer, width: int, told: Told
) -> Outcome:
    """The tolerances of a message; lines are ``told`` as they come.

    Raises:
        InputError: a number of draws that makes no sense, a profile that cannot be flown.
    """
    check_draws(draws.count)
    job = subject.job
    flights, untold = Flights(job, flyer, width), _untold(job)
    told(f"  {job.speed_m_s:g} m/s, throw {job.throw_mm:g} mm, raster {job.raster.drops}")
    broken = usual_failures(flights)
    if broken:
        said = f"nothing may drift: as it is it fails by {', '.join(broken)}"
        told(fly_text.wrapped(said))
        return _outcome([], [], untold, draws, failed=True)
    told(HEADING)
    found = []
    for side in sides(flights):
        found.append(side)
        told(*side_lines(side))
    told(*untold_lines(untold))
    shared = _together(flights, found, draws)
    told(*together_lines(shared, draws.count, draws.seed), fly_text.wrapped(LEGEND))
    return _outcome(found, shared, untold, draws, failed=False)


def _untold(job: Job) -> dict[str, str]:
    """What nothing can be said of, things that drift and limits, and why."""
    silent = {str(drifting.what): drifting.untold for drifting in all_drifting(job)}
    return {what: why for what, why in silent.items() if why} | unjudged(job.profile)


def _together(flights: Flights, found: list[Side], draws: Draws) -> list[Together]:
    ways = [False]
    if any(side.edge != side.followed for side in found):
        ways.append(True)
    shares = (together(flights, found, draws.count, draws.seed, way) for way in ways)
    return [share for share in shares if share is not None]


def _outcome(
    found: list[Side],
    shared: list[Together],
    untold: Mapping[str, str],
    draws: Draws,
    failed: bool,
) -> Outcome:
    table = tolerance_table(found) if found else Table(("what",), ())
    document = {
        "seed": draws.seed,
        "draws": draws.count,
        "tolerances": table.as_dicts(),
        "untold": [{"what": what, "why": why} for what, why in untold.items()],
        "together": to_builtins(shared),
    }
    picture = partial(tolerance_plot, found)
    return Outcome([], document, table, picture, failed, told=True)

"""A message flown for the rules of `check`: at the line's speeds and at the ends of its throw."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import msgspec

from rasterc.sweep.case import Flown, fly_case, measured
from rasterc.sweep.model import Band, Case, Charges, Figures, Job


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """A case that was flown under each wake; ``figures`` are the worst of them."""

    case: Case
    band: Band
    flown: tuple[Flown, ...]

    @property
    def figures(self) -> Figures:
        """The worst figures of all wakes."""
        return self.band.worst

    def worst(self, measure: Callable[[Flown], float]) -> Flown:
        """The flight of which this is largest."""
        return max(self.flown, key=measure)


@dataclass(frozen=True, slots=True, eq=False)
class Inspection:
    """The flights of a message: ``speeds`` at the usual throw, ``throws`` at the ends of it."""

    job: Job
    speeds: tuple[Look, ...]
    throws: tuple[Look, ...]


def inspect(job: Job) -> Inspection:
    """Fly a message at the slowest and the fastest speed of its line, and at the ends of its throw.

    Throws are flown at the usual speed with the charges of the usual throw: a head does not know
    that a product passes nearer. The last few inspections are remembered.

    Raises:
        InputError: a profile or message that cannot be flown.
    """
    return _inspect(msgspec.json.encode(job))


@lru_cache(maxsize=8)
def _inspect(encoded: bytes) -> Inspection:
    job = msgspec.json.decode(encoded, type=Job)
    flight = job.profile.flight
    assert flight is not None
    line = job.profile.line.speeds_m_s
    speeds = tuple(_look(job, Case(v, job.throw_mm)) for v in sorted({min(line), max(line)}))
    off = flight.throw_tolerance_mm
    ends = (job.throw_mm - off, job.throw_mm + off) if off else ()
    throws = tuple(_look(job, Case(job.speed_m_s, t, Charges.FIXED)) for t in ends)
    return Inspection(job, speeds, throws)


def _look(job: Job, case: Case) -> Look:
    flown = fly_case(job, case)
    return Look(case, measured(job, flown), flown)

"""How far each thing may drift, and all together, before a code fails, and by which limit.

Found by flying: outwards from the usual value to the first flight that fails, then by halves
between the last that held and it. Between the values flown nothing is known.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import nan

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.sweep.drifted import breakup_room, breakup_shift
from rasterc.sweep.drifting import Drift, Drifting, all_drifting, case_at
from rasterc.sweep.judge import Failure, band_failures
from rasterc.sweep.model import Band, Case, Fly, Job

STEPS_OUT = (0.125, 0.5, 1.0)  # of the way to the end that is looked at
NEAR = 0.02  # of the tolerance: how near to its end a failing flight is looked for
LEAST_STEP = 1e-4  # of the way to the end: nearer is not looked
SHARES = 32  # in how many parts the tolerances are shared when all drift together
MAX_DRAWS = 1000
SCAN = 60  # steps in which breakup is looked at, which takes no flight


@dataclass(frozen=True, slots=True)
class Edge:
    """How far something may drift to one side.

    ``height_mm`` is that of capitals there. ``fails_at`` is the nearest value flown that fails, by
    ``limits``; None where everything holds to the end of what was looked at.
    """

    holds_to: float
    height_mm: float | None
    fails_at: float | None = None
    limits: tuple[Failure, ...] = ()


@dataclass(frozen=True, slots=True)
class Side:
    """One thing drifting one way: with the phase of charging as the head has it, and followed."""

    drifting: Drifting
    end: float
    edge: Edge
    followed: Edge


@dataclass(frozen=True, slots=True)
class Together:
    """All drifting at once, each within the same share of its own tolerance.

    ``share`` is the largest at which every draw held, ``fails_at`` the least at which one failed,
    by ``limits``: None where all hold with the whole tolerances.
    """

    followed: bool
    share: float
    fails_at: float | None
    limits: tuple[Failure, ...]


class Flights:
    """Flights of one job; each is flown once, up to ``width`` of them at a time."""

    def __init__(self, job: Job, fly: Fly, width: int = 1) -> None:
        self.job, self._fly, self.width = job, fly, width
        self._known: dict[Case, Band] = {}

    def bands(self, cases: Sequence[Case]) -> list[Band]:
        """What comes of cases, flown at once."""
        new = [case for case in dict.fromkeys(cases) if case not in self._known]
        if new:
            self._known |= self._fly(self.job, new)
        return [self._known[case] for case in cases]

    def failed(self, case: Case) -> tuple[Failure, ...]:
        """What fails in a case."""
        return band_failures(self.job, self.bands([case])[0])

    def first_failed(self, cases: Sequence[Case], phase: bool) -> tuple[Failure, ...]:
        """What fails in the first case that does; not the phase of charging if that is followed."""
        for start in range(0, len(cases), self.width):
            part = cases[start : start + self.width]
            self.bands(part)
            for case in part:
                limits = without_phase(self.failed(case), phase)
                if limits:
                    return limits
        return ()


def without_phase(found: tuple[Failure, ...], phase: bool) -> tuple[Failure, ...]:
    """Failures, and the charge phase among them if that is looked at."""
    return tuple(f for f in found if phase or f is not Failure.PHASE)


def usual_failures(flights: Flights) -> tuple[Failure, ...]:
    """What fails before anything drifts."""
    job = flights.job
    usual = {drifting.what: drifting.usual for drifting in all_drifting(job)}
    return flights.failed(case_at(job, usual))


def sides(flights: Flights) -> Iterator[Side]:
    """How far each thing may drift, one side after another; needs a message that holds as it is."""
    for drifting in all_drifting(flights.job):
        if not drifting.untold:
            for end in (drifting.low, drifting.high):
                if end != drifting.usual:
                    yield _side(flights, drifting, end)


def _side(flights: Flights, drifting: Drifting, end: float) -> Side:
    search = _Search(flights, drifting, end)
    followed = search.edge(1.0, phase=False)
    near, far = _phase_parts(flights.job, drifting, end)
    if far is None:  # the phase is followed, or not told of, or stays in its window
        return Side(drifting, end, followed, followed)
    if followed.fails_at is not None and search.part(followed.fails_at) <= near:
        return Side(drifting, end, followed, followed)
    return Side(drifting, end, search.edge(far, phase=True, last=near), followed)


@dataclass(frozen=True, slots=True)
class _Search:
    """The search for the end of one tolerance; parts run from 0, the usual value, to 1."""

    flights: Flights
    drifting: Drifting
    end: float

    def value(self, part: float) -> float:
        return self.drifting.usual + (self.end - self.drifting.usual) * part

    def part(self, value: float) -> float:
        return (value - self.drifting.usual) / (self.end - self.drifting.usual)

    def case(self, part: float) -> Case:
        return case_at(self.flights.job, {self.drifting.what: self.value(part)})

    def failed(self, part: float, phase: bool) -> tuple[Failure, ...]:
        """What fails there; not the phase of charging if that is followed."""
        return without_phase(self.flights.failed(self.case(part)), phase)

    def edge(self, far: float, phase: bool, last: float | None = None) -> Edge:
        """The edge on the way to ``far``; ``last`` is a value that may well be the last to hold."""
        steps = sorted({*(s * far for s in STEPS_OUT), *([] if last is None else [last])})
        if self.flights.width > 1:
            self.flights.bands([self.case(step) for step in steps])
        good, bad = 0.0, far
        limits: tuple[Failure, ...] = ()
        for step in steps:
            limits = self.failed(step, phase)
            if limits:
                bad = step
                break
            good = step
        while limits and bad - good > max(NEAR * good, LEAST_STEP):
            middle = (good + bad) / 2
            found = self.failed(middle, phase)
            good, bad, limits = (good, middle, found) if found else (middle, bad, limits)
        height = self.flights.bands([self.case(good)])[0].worst.height_mm
        return Edge(self.value(good), height, self.value(bad) if limits else None, limits)


def _phase_parts(job: Job, drifting: Drifting, end: float) -> tuple[float, float | None]:
    """Parts of the way to ``end`` where breakup is last in its window and first outside; no flight.

    The second is None where it stays inside, or nothing is told.
    """
    flight, room = job.profile.flight, breakup_room(job.profile)
    assert flight is not None
    if flight.electrode.phase_followed:
        return nan, None

    def outside(part: float) -> bool:
        value = drifting.usual + (end - drifting.usual) * part
        jet = case_at(job, {drifting.what: value}).jet
        periods = None if jet is None else breakup_shift(job.profile, jet).periods
        return periods is not None and abs(periods) > room.periods

    far = next((k / SCAN for k in range(1, SCAN + 1) if outside(k / SCAN)), None)
    if far is None:
        return nan, None
    near = far - 1 / SCAN
    while far - near > max(NEAR * near, LEAST_STEP):
        middle = (near + far) / 2
        near, far = (near, middle) if outside(middle) else (middle, far)
    return near, far


def together(
    flights: Flights, found: Sequence[Side], draws: int, seed: int, followed: bool
) -> Together | None:
    """All things drifting at once, drawn at random; None if nothing may drift at all.

    Every second draw has each thing at one end or the other of its share, the others anywhere
    within. Draw k depends on ``seed`` and k only.

    Raises:
        InputError: no draws, or too many.
    """
    check_draws(draws)
    if not found:
        return None
    drawn = [_draw(found, seed, k, followed) for k in range(draws)]
    usual = {side.drifting.what: side.drifting.usual for side in found}

    def failed(parts: int) -> tuple[Failure, ...]:
        cases = [
            case_at(flights.job, {w: usual[w] + parts / SHARES * off for w, off in ends.items()})
            for ends in drawn
        ]
        return flights.first_failed(cases, not followed)

    limits = failed(SHARES)
    if not limits:
        return Together(followed, 1.0, None, ())
    good, bad = 0, SHARES
    while bad - good > 1:
        middle = (good + bad) // 2
        now = failed(middle)
        good, bad, limits = (good, middle, now) if now else (middle, bad, limits)
    return Together(followed, good / SHARES, bad / SHARES, limits)


def check_draws(draws: int) -> None:
    """Refuse a number of draws that makes no sense; raises `InputError`."""
    if not 1 <= draws <= MAX_DRAWS:
        said = f"{draws} draws cannot be flown"
        raise InputError.one("bad-count", said, help=f"give a number from 1 to {MAX_DRAWS}")


def _draw(found: Sequence[Side], seed: int, k: int, followed: bool) -> dict[Drift, float]:
    """How far each thing is drawn to drift, from its usual value, with the whole tolerances."""
    generator = np.random.default_rng([seed, k])
    out = {}
    for drifting in dict.fromkeys(side.drifting for side in found):
        here = [side for side in found if side.drifting == drifting]
        side = here[int(generator.integers(len(here)))]
        part = 1.0 if k % 2 == 0 else float(generator.uniform())
        edge = side.followed if followed else side.edge
        out[drifting.what] = (edge.holds_to - drifting.usual) * part
    return out

"""Maps of throw and line speed, and the window in which a message stays readable."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from rasterc.diagnostics import Diagnostic, InputError, fail_on_errors
from rasterc.head.table import MAX_THROW_MM
from rasterc.profile.model import LINE_SPEEDS, MAX_SPEED_M_S, is_line_speed
from rasterc.sweep.judge import holds
from rasterc.sweep.model import Band, Case, Charges, Job

MAX_CASES = 10_000
POLICIES = (Charges.FIXED, Charges.SOLVED)


@dataclass(frozen=True, slots=True)
class Grid:
    """The points of a map, each kind in rising order; the usual speed and throw are among them."""

    speeds_m_s: tuple[float, ...]
    throws_mm: tuple[float, ...]

    def cases(self, policies: Sequence[Charges] = POLICIES) -> list[Case]:
        """All points, policy by policy and speed by speed."""
        points = product(policies, self.speeds_m_s, self.throws_mm)
        return [Case(speed, throw, policy) for policy, speed, throw in points]


def grid_of(job: Job, speeds_m_s: Sequence[float] = (), throws_mm: Sequence[float] = ()) -> Grid:
    """The grid asked for, with the usual point added; else the profile's speeds and +-30 % throw.

    Raises:
        InputError: speeds or throws out of range, or too many points.
    """
    speeds = speeds_m_s or [*job.profile.line.speeds_m_s, job.speed_m_s * 0.5, job.speed_m_s * 1.5]
    throws = throws_mm or [job.throw_mm * part for part in (0.7, 0.85, 1.15, 1.3)]
    grid = Grid(_rising([*speeds, job.speed_m_s]), _rising([*throws, job.throw_mm]))
    faults = [
        Diagnostic("bad-speed", f"{v:g} m/s is no line speed", help=f"give {LINE_SPEEDS}")
        for v in grid.speeds_m_s
        if not is_line_speed(v)
    ] + [
        Diagnostic("bad-throw", f"{t:g} mm is no throw", help=f"above 0, up to {MAX_THROW_MM:g} mm")
        for t in grid.throws_mm
        if not 0 < t <= MAX_THROW_MM
    ]
    count = len(grid.speeds_m_s) * len(grid.throws_mm) * len(POLICIES)
    if count > MAX_CASES:
        said = f"{count} flights asked for; at most {MAX_CASES} are possible"
        faults.append(Diagnostic("too-many", said, help="look at fewer speeds or throws"))
    fail_on_errors(faults)
    return grid


def ladder(job: Job, fastest_m_s: float | None = None) -> tuple[float, ...]:
    """Line speeds from the profile's slowest up to a fastest, each about 1.5 times the one before.

    Twice the profile's fastest speed when None.

    Raises:
        InputError: a speed that is no line speed, or none to climb to.
    """
    line = job.profile.line.speeds_m_s
    fastest = 2 * max(line) if fastest_m_s is None else fastest_m_s
    if not min(line) < fastest <= MAX_SPEED_M_S:
        said = f"from {min(line):g} m/s there is no climb to {fastest:g} m/s"
        help = f"give a speed above {min(line):g}, up to {MAX_SPEED_M_S:g} m/s"
        raise InputError.one("bad-speed", said, help=help)
    steps = [min(line)]
    while steps[-1] * 1.5 < fastest:
        steps.append(float(f"{steps[-1] * 1.5:.2g}"))
    return _rising([*(v for v in line if v <= fastest), *steps, fastest])


def _rising(values: Sequence[float]) -> tuple[float, ...]:
    return tuple(sorted({float(f"{value:.6g}") for value in values}))


@dataclass(frozen=True, slots=True)
class Window:
    """The widest box of grid points, around the usual one, at which the message holds throughout.

    ``points`` is how many there are; 0 when it does not even at the usual one.
    """

    charges: Charges
    slowest_m_s: float
    fastest_m_s: float
    nearest_mm: float
    furthest_mm: float
    points: int


def window(job: Job, grid: Grid, found: dict[Case, Band], policy: Charges) -> Window:
    """The window of one policy. Between the points nothing was looked at."""
    speeds, throws = grid.speeds_m_s, grid.throws_mm
    readable = {
        (i, j): holds(job, found[Case(speed, throw, policy)])
        for (i, speed), (j, throw) in product(enumerate(speeds), enumerate(throws))
    }
    usual = job.usual()
    at, far = _nearest(speeds, usual.speed_m_s), _nearest(throws, usual.throw_mm)
    best = (0, at, at, far, far)
    boxes = product(range(at + 1), range(at, len(speeds)), range(far + 1), range(far, len(throws)))
    for i0, i1, j0, j1 in boxes:
        points = (i1 - i0 + 1) * (j1 - j0 + 1)
        inside = product(range(i0, i1 + 1), range(j0, j1 + 1))
        if points > best[0] and all(readable[p] for p in inside):
            best = (points, i0, i1, j0, j1)
    points, i0, i1, j0, j1 = best
    return Window(policy, speeds[i0], speeds[i1], throws[j0], throws[j1], points)


def _nearest(values: Sequence[float], wanted: float) -> int:
    return min(range(len(values)), key=lambda i: abs(values[i] - wanted))

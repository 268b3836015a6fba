"""The steps of a flight, compiled by numba: the scheme of `rasterc.head.steps` in other loops.

Patterns fly side by side, each in a lane of its own, so that the inner loops over lanes become
vector instructions: state[row] holds `LANES` numbers for each field below, head `LANES` for each
constant. Their powers and exponentials are polynomials, within 1e-8. Drag factors are exact: a
drop's wakes come from drops ahead, which are worked out before it.
"""

from __future__ import annotations

from collections.abc import Callable
from math import cos, exp, pi, sin, sqrt
from typing import Any, TypeVar, cast

import numpy as np
from numba import njit

from rasterc.head.arrays import Floats, Ints
from rasterc.head.charging import VACUUM_PERMITTIVITY_F_M
from rasterc.head.plates import MOST_TURN
from rasterc.head.wake import FADES_FROM, MOST_SHARE, NEAREST, REACH, RISE_POWER

LANES = 16
FIELDS = 19
(Z, Y, VZ, VY, PZ, PY, SZ, SY, TOTAL, UZ, UY, RISE, STEADY, GROWTH, NEAR, WIDENING, SHARE, FACTOR,
 CHARGE) = range(0, FIELDS * LANES, LANES)  # fmt: skip
"""Place, velocity half a step before, push, speed and its amount at the step, heading; of the
Reynolds number: drag rise, the terms of the wake; share taken away by drops ahead, drag factor."""
CONSTANTS = 20
(SPEED, PER_SPEED, DIAMETER, PER_DIAMETER, MASS, STOKES, STRENGTH, ENTRY, EXIT, FRINGE, MIDDLE,
 FIELD, STREAM, PRODUCT, PLATE, OF_RISE, OF_STEADY, OF_GROWTH, OF_NEAR, OF_WIDENING,
 ) = range(0, CONSTANTS * LANES, LANES)  # fmt: skip
"""As `rasterc.head.many.Constants`; STREAM is the drag factor of the stream, OF_... terms of the
Reynolds number at the speed of the jet."""

COULOMB = 1 / (4 * pi * VACUUM_PERMITTIVITY_F_M)
DEGREE = 12
LEAD_TURNS = 30
FREELY = {"reassoc", "contract", "arcp", "nsz"}  # sums in any order; nan and infinity are kept
_Function = TypeVar("_Function", bound=Callable[..., Any])


def _polynomial(power: float, root: float, least: float, most: float) -> Floats:
    """Centre and reach of an nth root, then coefficients of x^power by that root of x.

    Interpolated at Chebyshev's points between the least and the most of x.
    """
    ends = np.array([least, most]) ** (1 / root)
    fitted = np.polynomial.Chebyshev.interpolate(lambda w: w ** (root * power), DEGREE, domain=ends)
    return np.asarray(np.polynomial.chebyshev.cheb2poly(fitted.coef), dtype=np.float64)


def _middle(root: float, least: float, most: float) -> tuple[float, float]:
    ends = np.array([least, most]) ** (1 / root)
    return float(ends.mean()), float(2 / np.ptp(ends))


_SPEEDS, _LEFT = (2, 0.2, 1.3), (4, 1 - MOST_SHARE, 1.0)
"""Root, least and most of the polynomials: of parts of the jet's speed, and of parts of the air's
speed that are left. Beyond them, drops are taken to be as slow or fast as the ends."""
RISES, STEADIES, GROWTHS, NEARS = (
    _polynomial(power, *_SPEEDS) for power in (RISE_POWER, 0.0289, -0.3293, 0.6616)
)
LEFT_RISES = _polynomial(RISE_POWER, *_LEFT)
SPEED_MIDDLE, SPEED_SCALE = _middle(*_SPEEDS)
LEFT_MIDDLE, LEFT_SCALE = _middle(*_LEFT)
SLOWEST, FASTEST = _SPEEDS[1:]


def compiled(function: _Function) -> _Function:
    """A function compiled when it is called first, as a part of what calls it."""
    return cast(_Function, njit(error_model="numpy", fastmath=FREELY)(function))


def compiled_and_kept(function: _Function) -> _Function:
    """The same, its machine code kept in a file, if there is a folder for it."""
    try:
        kept = njit(cache=True, error_model="numpy", fastmath=FREELY)(function)
    except RuntimeError:
        return compiled(function)
    return cast(_Function, kept)


@compiled
def _value(variable: float, coefficients: Floats) -> float:
    out: float = coefficients[DEGREE]
    for k in range(DEGREE - 1, -1, -1):
        out = out * variable + coefficients[k]
    return out


@compiled
def _left_rise(left: float) -> float:
    """left^0.687."""
    return _value((sqrt(sqrt(left)) - LEFT_MIDDLE) * LEFT_SCALE, LEFT_RISES)


@compiled
def _faded(by: float) -> float:
    """exp(-by), for ``by`` from 0 to 40."""
    r = by * (-1 / 32)
    e = 1 + r * (1 + r * (1 / 2 + r * (1 / 6 + r * (1 / 24 + r * (1 / 120)))))
    e *= e
    e *= e
    e *= e
    e *= e
    return e * e


@compiled
def _smooth(part: float) -> float:
    t = min(max(part, 0.0), 1.0)
    return t * t * (3 - 2 * t)


@compiled
def terms(own: Floats, head: Floats, lanes: int, half_s: float) -> None:
    """The speed at the step as foreseen, kept as push for `drag`; what its wake needs of it."""
    for p in range(lanes):
        vz = own[VZ + p] + half_s * own[PZ + p]
        vy = own[VY + p] + half_s * own[PY + p]
        total = sqrt(vz * vz + vy * vy)
        per_total = 1 / total
        own[PZ + p] = vz
        own[PY + p] = vy
        own[TOTAL + p] = total
        own[UZ + p] = vz * per_total
        own[UY + p] = vy * per_total
        part = min(max(total * head[PER_SPEED + p], SLOWEST), FASTEST)
        t = (sqrt(part) - SPEED_MIDDLE) * SPEED_SCALE
        own[RISE + p] = head[OF_RISE + p] * _value(t, RISES)
        own[STEADY + p] = head[OF_STEADY + p] * _value(t, STEADIES)
        own[GROWTH + p] = head[OF_GROWTH + p] * _value(t, GROWTHS)
        own[NEAR + p] = head[OF_NEAR + p] * _value(t, NEARS)
        own[WIDENING + p] = head[OF_WIDENING + p] * head[SPEED + p] * per_total
        own[SHARE + p] = 0.0


@compiled
def shield(own: Floats, ahead: Floats, head: Floats, lanes: int) -> None:
    """Add the share of air speed that a drop ahead takes away, weighed with its drag factor."""
    for p in range(lanes):
        dz = ahead[Z + p] - own[Z + p]
        dy = ahead[Y + p] - own[Y + p]
        per_diameter = head[PER_DIAMETER + p]
        behind = (dz * ahead[UZ + p] + dy * ahead[UY + p]) * per_diameter
        across = (dz * ahead[UY + p] - dy * ahead[UZ + p]) * per_diameter
        x = min(max(behind, NEAREST), REACH)
        whole = ahead[STEADY + p] + ahead[GROWTH + p] * x - ahead[NEAR + p] * _faded(x - 1)
        width = 0.32 + ahead[WIDENING + p] * x
        per = 1 / (whole * width)
        share = _faded(min(across * across * whole * per, 40.0)) * width * per
        # one of both is 1: a wake has set in long before it fades
        share *= _smooth(min(behind, (REACH - behind) * (1 / (REACH - FADES_FROM))))
        own[SHARE + p] += share * ahead[FACTOR + p]


@compiled
def drag(own: Floats, head: Floats, lanes: int) -> None:
    """The drag factor by the share that is taken away, and the push of the air."""
    for p in range(lanes):
        left = 1 - min(head[STRENGTH + p] * own[SHARE + p], MOST_SHARE)
        factor = left * (1 + own[RISE + p] * _left_rise(left)) / (1 + own[RISE + p])
        slowing = -head[STOKES + p] * (1 + own[RISE + p]) * factor
        own[FACTOR + p] = factor
        own[PZ + p] *= slowing
        own[PY + p] *= slowing


@compiled
def put_ahead(state: Floats, lanes: int, lead: int, period_s: float) -> None:
    """Put an even stream of drops ahead of the first one, as far apart as its speed makes it."""
    first = state[lead]
    for k in range(lead, 0, -1):
        ahead = state[lead - k]
        for p in range(lanes):
            ahead[Z + p] = first[Z + p] + k * period_s * first[TOTAL + p]


@compiled
def lead_on(state: Floats, head: Floats, lanes: int, lead: int) -> None:
    """Let the stream ahead be like the first drop, with one drag factor for all of them."""
    own = state[lead]
    for row in range(lead):
        ahead = state[row]
        for p in range(lanes):
            ahead[STEADY + p] = own[STEADY + p]
            ahead[GROWTH + p] = own[GROWTH + p]
            ahead[NEAR + p] = own[NEAR + p]
            ahead[WIDENING + p] = own[WIDENING + p]
            ahead[FACTOR + p] = 1.0
        shield(own, ahead, head, lanes)
    for p in range(lanes):
        factor, rise = own[FACTOR + p], own[RISE + p]
        for _ in range(LEAD_TURNS):  # a contraction: each turn brings it nearer by a half at least
            left = 1 - min(head[STRENGTH + p] * own[SHARE + p] * factor, MOST_SHARE)
            factor += left * (1 + rise * _left_rise(left)) / (1 + rise)
            factor /= 2
        own[SHARE + p] *= factor
        for row in range(lead):
            state[row, FACTOR + p] = factor


@compiled
def gather(state: Floats, rows: Ints, lane: int, first: int, end: int, near: Floats) -> int:
    """Places and charges of charged rows, one after another; how many there are."""
    for k in range(first, end):
        other = state[rows[k]]
        near[0, k - first] = other[Z + lane]
        near[1, k - first] = other[Y + lane]
        near[2, k - first] = other[CHARGE + lane]
    return end - first


@compiled
def _repulsion(
    z: float, y: float, near: Floats, count: int, contact2: float
) -> tuple[float, float]:
    along = 0.0
    across = 0.0
    for k in range(count):
        dz = z - near[0, k]
        dy = y - near[1, k]
        square = max(dz * dz + dy * dy, contact2)
        pull = near[2, k] / (square * sqrt(square))
        along += pull * dz
        across += pull * dy
    return COULOMB * along, COULOMB * across


@compiled
def _edge(x: float, cosine: float, sine: float) -> tuple[float, float]:
    """As in `rasterc.head.plates`."""
    fades = exp(-2 * abs(x))
    below = 1 + fades * (2 * cosine + fades)
    across = (1 - fades * fades) / below
    return (across if x >= 0 else -across), 2 * fades * sine / below


@compiled
def electric(
    state: Floats, head: Floats, rows: Ints, lane: int, first: int, end: int, near: Floats,
    count: int,
) -> None:  # fmt: skip
    """What plates and the charged drops of ``near`` do to the charged rows of a lane."""
    entry, leave, field = head[ENTRY + lane], head[EXIT + lane], head[FIELD + lane]
    by_fringe, middle = 1 / head[FRINGE + lane], head[MIDDLE + lane]
    shared = middle * by_fringe
    contact2 = head[DIAMETER + lane] ** 2
    for k in range(first, end):
        own = state[rows[k]]
        z, y = own[Z + lane], own[Y + lane]
        along, across = _repulsion(z, y, near, count, contact2)
        turn = min(max(2 * (y - middle) * by_fringe, -MOST_TURN), MOST_TURN)
        cosine, sine = cos(turn), sin(turn)
        into, into_along = _edge((z - entry) * by_fringe, cosine, sine)
        out, out_along = _edge((z - leave) * by_fringe, cosine, sine)
        over, on = (into - out) / 2, (into_along - out_along) / 2
        back, up = shared * (into + out), 1 + shared * (into_along + out_along)
        by_mass = own[CHARGE + lane] / head[MASS + lane]
        own[PZ + lane] += by_mass * (along + field * (on * up - over * back))
        own[PY + lane] += by_mass * (across + field * (over * up + on * back))


@compiled
def take_back(
    state: Floats, head: Floats, rows: Ints, lane: int, first: int, end: int, near: Floats,
    count: int,
) -> None:  # fmt: skip
    """Take back what newborn drops, in ``near`` by charge and time, did before they were born."""
    contact2 = head[DIAMETER + lane] ** 2
    for k in range(first, end):
        own = state[rows[k]]
        along, across = _repulsion(own[Z + lane], own[Y + lane], near, count, contact2)
        by_mass = own[CHARGE + lane] / head[MASS + lane]
        own[VZ + lane] -= by_mass * along
        own[VY + lane] -= by_mass * across


@compiled
def push(own: Floats, lanes: int, step_s: float) -> None:
    """The speed at the step, and the velocity half a step on."""
    for p in range(lanes):
        own[SZ + p] = own[VZ + p] + step_s / 2 * own[PZ + p]
        own[SY + p] = own[VY + p] + step_s / 2 * own[PY + p]
        own[VZ + p] += step_s * own[PZ + p]
        own[VY + p] += step_s * own[PY + p]


@compiled
def move(own: Floats, lanes: int, step_s: float) -> None:
    """The place at the next step."""
    for p in range(lanes):
        own[Z + p] += step_s * own[VZ + p]
        own[Y + p] += step_s * own[VY + p]

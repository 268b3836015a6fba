"""The loop of a compiled flight."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from rasterc.head.arrays import Floats, Ints
from rasterc.head.kernel import (
    OF_RISE,
    PLATE,
    PRODUCT,
    PY,
    PZ,
    SPEED,
    STOKES,
    STREAM,
    SY,
    SZ,
    VY,
    VZ,
    Y,
    Z,
    compiled,
    compiled_and_kept,
    drag,
    electric,
    gather,
    lead_on,
    move,
    push,
    put_ahead,
    shield,
    take_back,
    terms,
)


class Course(NamedTuple):
    """A flight in numbers, as in `rasterc.head.batch.Batch`; ``longest`` is in steps."""

    lanes: int
    rows: int
    lead: int
    period_s: float
    steps: int
    drops: int
    longest: int
    kept_drops: int
    followed_drops: int
    follow: bool


class Found(NamedTuple):
    """What a flight leaves behind: steps in which planes were met, and nearest drops by row."""

    met: Floats
    nearest2: Floats
    nearest: Ints


class Charged(NamedTuple):
    """The charged rows of each lane, then one beyond all rows; and how many are used up.

    ``marks`` has for each lane the first that still pushes, the first not landed, the first born
    in this step, and the end of those born.
    """

    rows: Ints
    marks: Ints


@compiled
def _land(
    own: Floats, plane: Floats, met: Floats, row: int, lanes: int, step_s: float, count: int
) -> None:
    """Keep the last step of a drop that crossed a plane in it, as `rasterc.head.steps` does."""
    for p in range(lanes):
        z1 = own[Z + p]
        z0 = z1 - step_s * own[VZ + p]
        if z0 < plane[p] and z1 >= plane[p]:
            met[0, row, p], met[1, row, p] = z0, z1
            met[2, row, p], met[3, row, p] = own[Y + p] - step_s * own[VY + p], own[Y + p]
            met[4, row, p], met[5, row, p] = own[SZ + p], own[SY + p]
            met[6, row, p] = own[VZ + p] + step_s / 2 * own[PZ + p]
            met[7, row, p] = own[VY + p] + step_s / 2 * own[PY + p]
            met[8, row, p] = count - 1


@compiled
def _birth(own: Floats, head: Floats, lanes: int, age_s: float, step_s: float) -> None:
    """A drop born a while ago, at its place now; drag has slowed it a little."""
    for p in range(lanes):
        speed = head[SPEED + p]
        slowing = -head[STOKES + p] * (1 + head[OF_RISE + p]) * speed * head[STREAM + p]
        own[Z + p] = age_s * (speed + age_s / 2 * slowing)
        own[PZ + p] = slowing * (2 * age_s / step_s)


@compiled
def _mark(charged: Charged, kept: int, first: int, new: int, born: int) -> None:
    for lane in range(len(charged.rows)):
        for mark, row in enumerate((kept, first, new, born)):
            while charged.rows[lane, charged.marks[lane, mark]] < row:
                charged.marks[lane, mark] += 1


@compiled
def _air(state: Floats, head: Floats, c: Course, first: int, born: int) -> None:
    """The drag of the air on every drop that has not landed, from the oldest one on."""
    step_s = c.period_s * c.drops / c.steps
    for row in range(first, born):
        terms(state[row], head, c.lanes, step_s / 2)
        if row == first and row < 2 * c.lead:
            put_ahead(state, c.lanes, c.lead, c.period_s)
        if row == c.lead:
            lead_on(state, head, c.lanes, c.lead)
        else:
            for ahead in range(row - c.lead, row):
                shield(state[row], state[ahead], head, c.lanes)
        drag(state[row], head, c.lanes)


@compiled
def _plates(state: Floats, head: Floats, c: Course, charged: Charged, near: Floats) -> None:
    for lane in range(c.lanes):
        rows, (kept, first, _, born) = charged.rows[lane], charged.marks[lane]
        count = gather(state, rows, lane, kept, born, near)
        electric(state, head, rows, lane, first, born, near, count)


@compiled
def _late(
    state: Floats, head: Floats, c: Course, charged: Charged, near: Floats, new: int, born: int,
    count: int,
) -> None:  # fmt: skip
    """Drops born within this step were pushed, and pushed others, for less than all of it."""
    step_s = c.period_s * c.drops / c.steps
    for row in range(new, born):
        over_s = step_s / 2 - (count * step_s - (row - c.lead) * c.period_s)
        for lane in range(c.lanes):
            state[row, VZ + lane] -= over_s * state[row, PZ + lane]
            state[row, VY + lane] -= over_s * state[row, PY + lane]
    for lane in range(c.lanes):
        rows, (_, first, newborn, end) = charged.rows[lane], charged.marks[lane]
        found = gather(state, rows, lane, newborn, end, near)
        for k in range(found):
            age_s = count * step_s - (rows[newborn + k] - c.lead) * c.period_s
            near[2, k] *= step_s / 2 - age_s
        if found:
            take_back(state, head, rows, lane, first, newborn, near, found)


@compiled
def _beyond(own: Floats, head: Floats, lanes: int) -> bool:
    """Whether a drop is beyond all planes in every lane."""
    beyond = True
    for lane in range(lanes):
        beyond &= own[Z + lane] >= max(head[PRODUCT + lane], head[PLATE + lane])
    return beyond


@compiled
def _look(
    state: Floats, head: Floats, c: Course, charged: Charged, found: Found, first: int, born: int
) -> None:
    """Note how near each charged drop is to others that were born about when it was."""
    for lane in range(c.lanes):
        product = head[PRODUCT + lane]
        for k in range(charged.marks[lane, 1], charged.marks[lane, 3]):
            row = charged.rows[lane, k]
            own = state[row]
            if row < first or not own[Z + lane] < product:
                continue
            for j in range(
                max(c.lead, row - c.followed_drops), min(born, row + c.followed_drops + 1)
            ):
                z, y = state[j, Z + lane], state[j, Y + lane]
                square = (own[Z + lane] - z) ** 2 + (own[Y + lane] - y) ** 2
                if square < found.nearest2[row, lane] and j != row and not z >= product:
                    found.nearest2[row, lane] = square
                    found.nearest[row, lane] = j


def loop_of(version: int) -> Callable[..., int]:
    """The loop; ``version`` keeps machine code of other versions of the model apart."""

    @compiled_and_kept
    def loop(state: Floats, head: Floats, c: Course, charged: Charged, found: Found) -> int:
        near = np.zeros((3, charged.rows.shape[1]))
        step_s = c.period_s * c.drops / c.steps
        kept = first = born = c.lead
        for count in range(c.longest):
            new = born
            born = c.lead + min(count * c.drops // c.steps + 1, c.rows - c.lead)
            if c.drops > 1:
                for row in range(new, born):
                    age_s = count * step_s - (row - c.lead) * c.period_s
                    _birth(state[row], head, c.lanes, age_s, step_s)
            _mark(charged, kept, first, new, born)
            _air(state, head, c, first, born)
            _plates(state, head, c, charged, near)
            for row in range(first, born):
                _land(state[row], head[PRODUCT:], found.met[0], row, c.lanes, step_s, count)
                if c.follow:
                    _land(state[row], head[PLATE:], found.met[1], row, c.lanes, step_s, count)
                push(state[row], c.lanes, step_s)
            _late(state, head, c, charged, near, new, born, count)
            while first < born and _beyond(state[first], head, c.lanes):
                first += 1
            kept = max(c.lead, first - c.kept_drops)
            for row in range(kept, born):
                move(state[row], c.lanes, step_s)
            if first == c.rows:
                break
            if c.follow:
                _look(state, head, c, charged, found, first, born)
        return version

    return loop

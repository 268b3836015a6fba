"""The chance that at least one of several things happens, each when enough of its drops are lost.

Drops are lost independently with the same chance. A *cut* is a set of drops and how many of them
must be lost. Cuts share drops, so their chances do not simply add up. The sum over all subsets of
lost drops is taken by dynamic programming: drops that belong to the same cuts are alike and are
counted together; what has been lost so far is kept only as the number each cut still needs, and
states that agree in it are merged. A state that can hardly matter any more is let go, and the most
it could have added is counted to the upper end.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from rasterc.reading.model import CERTAIN, Bracket

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Counts = NDArray[np.int_]
    Bits = NDArray[np.bool_]

_WITHIN = 0.01  # relative width aimed at, half of what is promised
NEGLIGIBLE = 1e-12  # or this width, as no one asks for less
_MAX_STATES = 4000  # beyond, states are let go and the bracket widens
_NEVER = 10_000  # more than any cut needs


@dataclass(frozen=True, slots=True, eq=False)
class Cuts:
    """m cuts over n drops: which drops belong to each, shape (n, m), and how many are needed."""

    members: Bits
    needed: Counts


@cache
def tails(loss: float, most: int) -> Floats:
    """P(at least k of n drops are lost) at [n, k], n up to ``most`` and k up to ``most + 1``."""
    import numpy as np

    exactly = np.zeros((most + 1, most + 2))
    exactly[0, 0] = 1
    for n in range(1, most + 1):
        exactly[n] = exactly[n - 1] * (1 - loss)
        exactly[n, 1:] += exactly[n - 1, :-1] * loss
    table: Floats = exactly[:, ::-1].cumsum(axis=1)[:, ::-1]
    table.flags.writeable = False
    return table


def without_implied(cuts: Cuts) -> Counts:
    """Indices of the cuts that no other one implies, a few of many: exact, nothing is lost.

    Cut j implies cut i when losing what j needs leaves i no choice: needed_j - |j without i| is at
    least needed_i.
    """
    import numpy as np

    members = cuts.members.astype(np.float32)
    shared = np.rint(members.T @ members).astype(int)
    only_j = np.diag(shared)[None, :] - shared  # [i, j]: drops of j that i lacks
    implies = cuts.needed[None, :] - only_j >= cuts.needed[:, None]
    order = np.arange(len(cuts.needed))
    earlier = order[:, None] < order[None, :]
    beaten = implies & (earlier | ~implies.T) & (order[:, None] != order[None, :])
    return np.flatnonzero(~beaten.any(axis=0))


def any_cut(cuts: Cuts, loss: float) -> Bracket:
    """The chance that at least one cut happens."""
    import numpy as np

    if not len(cuts.needed):
        return CERTAIN
    if cuts.needed.min() <= 0:
        return Bracket(1.0, 1.0)
    table = tails(loss, len(cuts.members))
    relevant = cuts.members[cuts.members.any(axis=1)]
    alike, sizes = np.unique(relevant, axis=0, return_counts=True)
    left = (alike * sizes[:, None]).sum(axis=0)
    each = table[left, cuts.needed]
    budget = max(_WITHIN / 2 * float(each.max()), NEGLIGIBLE / 2) / len(sizes)
    states = cuts.needed[None, :].astype(np.int16), np.ones(1)
    happened = dropped = 0.0
    for members, size in zip(
        alike[::-1], sizes[::-1], strict=True
    ):  # those of the first cuts first
        left = left - members * size
        pmf = -np.diff(table[size, : size + 2])
        hit, states = _lose(states, members, pmf)
        happened += hit
        states, cost = _let_go(states, left, table, budget)
        dropped += cost
    return Bracket(happened, min(1.0, happened + dropped))


def _lose(
    states: tuple[NDArray[np.int16], Floats], members: Bits, pmf: Floats
) -> tuple[float, tuple[NDArray[np.int16], Floats]]:
    """Lose 0, 1, ... of some alike drops: the chance that a cut happens, and the states without."""
    import numpy as np

    needed, mass = states
    lowest = needed[:, members].min(axis=1)
    hit, kept_needed, kept_mass = 0.0, [], []
    for lost, chance in enumerate(pmf.tolist()):
        open_ = lowest > lost
        hit += chance * float(mass[~open_].sum())
        if not open_.any():
            continue
        kept_needed.append(needed[open_] - (lost * members).astype(np.int16))
        kept_mass.append(mass[open_] * chance)
    if not kept_needed:
        return hit, (needed[:0], mass[:0])
    return hit, (np.concatenate(kept_needed), np.concatenate(kept_mass))


def _let_go(
    states: tuple[NDArray[np.int16], Floats], left: Counts, table: Floats, budget: float
) -> tuple[tuple[NDArray[np.int16], Floats], float]:
    """Merge states that agree and let go of those that can hardly matter, at most ``budget``."""
    import numpy as np

    needed, mass = states
    needed = np.where(needed > left, np.int16(_NEVER), needed)
    bound = mass * table[left, np.minimum(needed, left + 1)].sum(axis=1)
    order = np.argsort(bound)
    running = np.cumsum(bound[order])
    free = int(np.searchsorted(running, budget, side="right"))
    free = max(free, len(order) - _MAX_STATES)
    kept = order[free:]
    cost = float(running[free - 1]) if free else 0.0
    return _merged(needed[kept], mass[kept]), cost


def _merged(needed: NDArray[np.int16], mass: Floats) -> tuple[NDArray[np.int16], Floats]:
    """States that agree in what every cut still needs, taken together."""
    import numpy as np

    if len(mass) < 2:
        return needed, mass
    needed = np.ascontiguousarray(needed)
    rows = needed.view(np.dtype((np.void, needed.strides[0]))).ravel()
    _, first, which = np.unique(rows, return_index=True, return_inverse=True)
    return needed[first], np.bincount(which, weights=mass).astype(np.float64)

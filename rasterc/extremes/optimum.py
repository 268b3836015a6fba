"""The most or the least of a measure over all groups, and the first values that give it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np

from rasterc.extremes.group import Assignment, Group, best, sums
from rasterc.extremes.meter import Meter, Place, Vectors


@dataclass(frozen=True, slots=True)
class Optimum:
    """The value of a measure, and the first assignment that gives it."""

    value: int
    assignment: Assignment


def optimum(groups: Sequence[Group], meter: Meter, literals: Vectors, sense: int) -> Optimum | None:
    """The highest or lowest value of a measure; None when some group has nothing to print.

    Groups vary freely, and a total never falls when a slot rises. So the best total is reached
    with vectors that nothing of the same group beats; the first assignment is then found group by
    group, by holding each vector against the best that the groups after it can add.

    ``literals`` is the vector of the text that never varies, shape (1, slots).
    """
    offered = [group.vectors(meter, sense) for group in groups]
    if any(not len(vectors) for vectors in offered):
        return None
    after = [literals * 0]
    for vectors in reversed(offered):
        after.append(best(sums(best(vectors, sense), after[-1]), sense))
    after.reverse()
    value = sense * int((sense * meter.total(after[0] + literals)).max())
    so_far, assignments = literals, list[Assignment]()
    for group, vectors, rest in zip(groups, offered, after[1:], strict=True):
        reach = [sense * int((sense * meter.total(so_far + row + rest)).max()) for row in vectors]
        wanted = vectors[np.array(reach) == value]
        assignment, vector = group.first(meter, sense, wanted)
        assignments.append(assignment)
        so_far = so_far + vector
    return Optimum(value, reduce(Assignment.joined, assignments, Assignment()))


def bound(groups: Sequence[Group], meter: Meter, literals: Vectors, sense: int) -> Optimum | None:
    """What a measure cannot go beyond, where `optimum` finds too many vectors: each slot at its
    own best. The values are the best of those that give the best of a slot."""
    slots = [meter.only(slot) for slot in range(meter.slots)]
    apart = [optimum(groups, one, literals[:, [at]], sense) for at, one in enumerate(slots)]
    found = [one for one in apart if one is not None]
    if len(found) < len(slots):
        return None
    ideal = np.array([[one.value for one in found]], dtype=np.int64)
    return Optimum(int(meter.total(ideal)[0]), found[-1].assignment)


def literal_vector(meter: Meter, literals: Sequence[str]) -> Vectors:
    """The vector of the text of each line that never varies."""
    vector = np.zeros((1, meter.slots), dtype=np.int64)
    for line, text in enumerate(literals):
        vector[0, meter.slot[line]] += meter.weigh(Place(line), text)
    return vector

"""The most drops in any so many consecutive strokes.

Where every character stands at a known stroke, the drops in a window are a sum over characters
like any other measure. So the widths that the fields can take together are gone through, and for
each the windows, those first for which the most drops can be hoped for; a window is searched
exactly only while it may still beat the best one found. When fields can take too many widths, only
a bound is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice, product

import numpy as np

from rasterc.domain.atoms import Atom
from rasterc.domain.progress import Progress
from rasterc.extremes.group import Group
from rasterc.extremes.meter import LineForm
from rasterc.extremes.optimum import Optimum
from rasterc.extremes.widths import MAX_SETTINGS, widths_of
from rasterc.extremes.windows import NEVER, Code, Setting
from rasterc.layout import Composer
from rasterc.layout.model import Strokes
from rasterc.values import Plan

MAX_SEARCHES = 250  # windows that are searched exactly
MAX_LOOKED_AT = 50_000  # atoms that are looked at for that
_TOO_MANY = "too many windows may hold that many drops to try them all"


@dataclass(frozen=True, slots=True)
class Densest:
    """The drops of the densest window; ``why`` tells why they are only a bound."""

    optimum: Optimum | None
    why: str = ""


def densest(
    plan: Plan,
    groups: Sequence[Group],
    atoms: Sequence[Atom],
    forms: Sequence[LineForm],
    composer: Composer,
    window: int,
    most_drops: Optimum | None,
    progress: Progress,
) -> Densest:
    """The most drops in any ``window`` consecutive strokes, and the first values that do."""
    if most_drops is None:
        return Densest(None)
    code = Code(plan, atoms, forms, composer)
    options = [widths_of(group, forms) for group in groups]
    if any(some is None for some in options):
        return _bound(code, window, most_drops)
    settings = list(
        islice(product(*(some for some in options if some is not None)), MAX_SETTINGS + 1)
    )
    if len(settings) > MAX_SETTINGS:
        return _bound(code, window, most_drops)
    hoped: list[tuple[int, int, int, Setting]] = []
    for number, setting in enumerate(settings):
        laid = Setting(code, setting, window)
        hoped += [(-int(most), number, at, laid) for at, most in enumerate(laid.hopes())]
    hoped.sort(key=lambda hope: hope[:3])
    best: Optimum | None = None
    searches = min(MAX_SEARCHES, MAX_LOOKED_AT // (len(atoms) or 1) + 10)
    for tried, (most, _, at, laid) in enumerate(hoped):
        if best is not None and -most < best.value:
            break
        if tried == searches:
            return Densest(_better(best, Optimum(-most, most_drops.assignment)), _TOO_MANY)
        progress(f"{tried} windows searched for the densest")
        best = _better(best, laid.search(at))
    return Densest(best)


def _bound(code: Code, window: int, most_drops: Optimum) -> Densest:
    """No window has more drops than the whole code, or than full strokes have."""
    value = min(most_drops.value, code.most(window))
    why = "its fields can take too many widths to try them all"
    return Densest(Optimum(value, most_drops.assignment), why)


def _better(best: Optimum | None, other: Optimum | None) -> Optimum | None:
    """The one with more drops, of equals the first in time."""
    if best is None or other is None or other.value != best.value:
        found = [one for one in (best, other) if one is not None and one.value > NEVER // 2]
        return max(found, key=lambda one: one.value, default=None)
    return min(best, other, key=lambda one: one.assignment.order)


def first_window(strokes: Strokes, window: int) -> int:
    """The first stroke of the first window with the most drops."""
    drops = np.bitwise_count(strokes.columns).astype(np.int64)
    sums = np.concatenate([[0], np.cumsum(drops)])
    first = np.arange(max(1, len(drops) - window + 1))
    return int(np.argmax(sums[np.minimum(first + window, len(drops))] - sums[first]))

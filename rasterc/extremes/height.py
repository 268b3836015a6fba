"""How high the capitals of the smallest line are, of the lines that print anything."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from rasterc.extremes.group import HIGHEST, LOWEST, Assignment
from rasterc.extremes.meter import LineForm, Meter, sum_meter
from rasterc.extremes.optimum import Optimum

_NEVER = -(10**6)  # for each character that must not be printed

Find = Callable[[Meter, int], Optimum | None]
"""The most or the least of a measure."""


def smallest_line(forms: Sequence[LineForm], sense: int, find: Find) -> Optimum | None:
    """The rows of the smallest line at its lowest or highest; 0 where nothing is printed.

    The values are some that come to it. None when there is nothing to print.
    """
    rows = [form.setter.capital_rows for form in forms]
    if all(form.literal.strip() for form in forms):
        return Optimum(min(rows, default=0), Assignment())
    nothing = find(_prints(forms, range(len(forms))), LOWEST)
    if nothing is None or (sense == LOWEST and nothing.value == 0):
        return nothing
    for height in sorted(set(rows), reverse=sense == HIGHEST):
        wanted = [i for i, own in enumerate(rows) if own == height]
        smaller = [i for i, own in enumerate(rows) if own < height]
        found = find(_prints(forms, wanted, smaller if sense == HIGHEST else ()), HIGHEST)
        if found is not None and found.value > 0:
            return Optimum(height, found.assignment)
    return Optimum(0, nothing.assignment)


def _prints(
    forms: Sequence[LineForm], wanted: Collection[int], never: Collection[int] = ()
) -> Meter:
    """Characters of some lines, blanks apart, where others have none: else it is below 0."""

    def weight(line: int) -> Callable[[str], int]:
        counts = int(line in wanted) + _NEVER * (line in never)
        return lambda char: counts * bool(char.strip())

    name = f"characters of {[*wanted]} without {[*never]}"
    return sum_meter(name, [weight(line) for line in range(len(forms))])

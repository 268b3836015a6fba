"""A chance that is known to lie between two numbers."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from rasterc.diagnostics import Diagnostic, InputError

LOSS = 0.02
"""Share of drops lost when nothing else is known. Assumption."""

SPREAD = 0.15
"""Standard deviation of a drop's place, in row pitches, when nothing else is known. Assumption."""

MAX_SPREAD = 0.3
"""With more, drops land on places beyond their neighbours' and characters dissolve."""


@dataclass(frozen=True, slots=True)
class Bracket:
    """A chance of at least ``low`` and at most ``high``."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """Halfway. Where the ends differ by ties of two, it is the chance of a reader who tosses
        a coin."""
        return (self.low + self.high) / 2

    @property
    def relative_width(self) -> float:
        """The width as a share of the higher end; 0 when that is 0."""
        return (self.high - self.low) / self.high if self.high else 0.0


CERTAIN = Bracket(0.0, 0.0)
"""No chance of a misreading."""


def any_of(chances: Iterable[Bracket]) -> Bracket:
    """The chance that at least one of several independent things happens: 1 - prod(1 - p).

    >>> any_of([Bracket(0.5, 0.5), Bracket(0.5, 1.0)])
    Bracket(low=0.75, high=1.0)
    """
    low = high = 0.0
    for chance in chances:
        low += math.log1p(-chance.low) if chance.low < 1 else -math.inf
        high += math.log1p(-chance.high) if chance.high < 1 else -math.inf
    return Bracket(0.0 - math.expm1(low), 0.0 - math.expm1(high))


def check_chances(loss: float = 0.0, spread: float = 0.0) -> None:
    """Refuse a loss or a spread that cannot be.

    Raises:
        InputError: ``loss`` is not from 0 to below 1, or ``spread`` not from 0 to `MAX_SPREAD`.
    """
    faults = []
    if not 0 <= loss < 1:
        message = f"the share of lost drops is {loss:g}"
        faults.append(Diagnostic("bad-loss", message, help=f"give 0 to below 1, {LOSS} say"))
    if not 0 <= spread <= MAX_SPREAD:
        message = f"the spread of the drops is {spread:g} of a pitch"
        help = f"give 0 to {MAX_SPREAD}, {SPREAD} say"
        faults.append(Diagnostic("bad-spread", message, help=help))
    if faults:
        raise InputError(faults)

"""How long a product keeps, as people say it: "18 months"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from rasterc.diagnostics import InputError
from rasterc.source.times import Unit

_FIXED = {
    Unit.MINUTE: timedelta(minutes=1),
    Unit.HOUR: timedelta(hours=1),
    Unit.DAY: timedelta(days=1),
    Unit.WEEK: timedelta(weeks=1),
}
_MAX = 100_000


@dataclass(frozen=True, slots=True)
class ShelfLife:
    """An amount of a unit of time."""

    amount: int
    unit: Unit

    def __str__(self) -> str:
        return f"{self.amount} {self.unit}{'' if self.amount == 1 else 's'}"

    @property
    def longest(self) -> timedelta:
        """The longest it can be: months and years differ in length.

        >>> str(ShelfLife(2, Unit.MONTH).longest), str(ShelfLife(1, Unit.YEAR).longest)
        ('62 days, 0:00:00', '366 days, 0:00:00')
        """
        if self.unit in _FIXED:
            return self.amount * _FIXED[self.unit]
        months = self.amount * (12 if self.unit is Unit.YEAR else 1)
        first = np.arange(400 * 12)  # the calendar repeats every 400 years
        days = _first_days(first + months) - _first_days(first)
        return timedelta(days=int(days.max()))


def _first_days(months: np.ndarray[tuple[int], np.dtype[np.int64]]) -> np.ndarray:
    """Days from 1970 to the first of each month."""
    return months.astype("M8[M]").astype("M8[D]").astype(np.int64)


def read_shelf_life(text: str) -> ShelfLife:
    """The shelf life that a text such as "18 months" tells.

    Raises:
        InputError: it tells none.
    """
    number, _, unit = text.strip().partition(" ")
    name = unit.strip().lower().removesuffix("s")
    plain = re.fullmatch("0*[1-9][0-9]{0,5}", number) is not None  # `int` refuses endless digits
    if plain and name in [*Unit] and int(number.lstrip("0")) <= _MAX:
        return ShelfLife(int(number.lstrip("0")), Unit(name))
    units = ", ".join(f"{unit}s" for unit in Unit)
    raise InputError.one(
        "bad-shelf-life",
        f'"{text}" is no shelf life',
        help=f'write it like "18 months"; units are {units}',
    )

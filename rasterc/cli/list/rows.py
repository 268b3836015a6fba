"""The rows of a list: which, in which order, and as text, with what is known of each message."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import date
from enum import StrEnum

from msgspec import Struct

from rasterc.diagnostics import visible
from rasterc.plant import Plant
from rasterc.search.days import Ahead, Day, Kind
from rasterc.search.listing import Listed
from rasterc.search.states import Checked, Known, State


class Row(Struct, frozen=True):
    """A message on its line, what is known of it, and what is ahead of it."""

    listed: Listed
    state: State
    checked: Checked | None
    ahead: Ahead
    found: str

    @property
    def said(self) -> str:
        """Its state in words; what is good in one print may not be so in another."""
        in_order = self.state in (State.GOOD, State.NOTES)
        one_print = in_order and self.checked is Checked.ONE_PRINT
        return f"{self.state.said}, one print" if one_print else self.state.said

    @property
    def next_day(self) -> Day | None:
        """The day ahead that matters most."""
        return self.ahead.next_day


class Order(StrEnum):
    """What a list is sorted by."""

    PLANT = "plant"  # as the plant file has it
    NAME = "name"
    LINE = "line"
    STATE = "state"  # the worst first
    DAY = "day"  # the next day first
    LENGTH = "length"  # the longest first


def row_of(listed: Listed, known: Known) -> Row:
    """The row of a message of which this is known."""
    state = State.BROKEN if listed.faults else known.state
    ahead = listed.ahead.with_day(known.failing)
    return Row(listed, state, known.checked, ahead, known.found)


def chosen(
    rows: Iterable[Row], lines: Collection[str], states: Collection[State], order: Order
) -> list[Row]:
    """The rows on some lines and in some states, on all and in all when empty, in order."""
    kept = [
        row
        for row in rows
        if (not lines or row.listed.line in lines) and (not states or row.state in states)
    ]
    key = _KEYS.get(order)
    return sorted(kept, key=key) if key else kept


def _by_name(row: Row) -> tuple[str, str]:
    return row.listed.message or row.listed.file.name, row.listed.line


_STATES = list(State)
_KEYS: Mapping[Order, Callable[[Row], tuple[object, ...]]] = {
    Order.NAME: _by_name,
    Order.LINE: lambda row: (row.listed.line, *_by_name(row)),
    Order.STATE: lambda row: (_STATES.index(row.state), *_by_name(row)),
    Order.DAY: lambda row: (row.next_day.day if row.next_day else date.max, *_by_name(row)),
    Order.LENGTH: lambda row: (-(row.listed.length_mm or 0.0), *_by_name(row)),
}

_HEADS = ("message", "line", "raster", "length", "state", "next day, or what was found")
_NUMBERS = (2, 3)


def table(rows: Sequence[Row]) -> list[str]:
    """The rows as a table for a terminal."""
    cells = [_HEADS, *(tuple(map(visible, _cells(row))) for row in rows)]
    widths = [max(len(row[at]) for row in cells) for at in range(len(_HEADS) - 1)]
    return [_line(row, widths) for row in cells]


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    padded = [
        cell.rjust(width) if at in _NUMBERS else cell.ljust(width)
        for at, (cell, width) in enumerate(zip(cells, widths, strict=False))
    ]
    return "  ".join((*padded, cells[-1])).rstrip()


def _cells(row: Row) -> tuple[str, ...]:
    one = row.listed
    return (
        one.message or one.file.name,
        one.line or "-",
        str(one.raster or "-"),
        "-" if one.length_mm is None else f"{one.length_mm:.1f} mm",
        row.said,
        ahead(row),
    )


def ahead(row: Row) -> str:
    """The day ahead that matters most and what happens then, or what a check found that has no day.

    Of a broken message, why it is.
    """
    if row.listed.faults:
        fault = row.listed.faults[0]
        place = f" (line {fault.span.line})" if fault.span else ""
        return f"{fault.message}{place}"
    day = row.next_day
    if row.found and not (day and day.kind is Kind.FAILING):
        return row.found
    unsure = row.ahead.cannot_say
    said = [f"{day.day}  {day.said}"] if day else []
    said += [f"cannot say {', '.join(unsure)}"] if unsure else []
    return "; ".join(said) or "-"


def summary(rows: Sequence[Row]) -> str:
    """``9 messages on 4 lines: 2 errors, 7 not looked at``, counted in messages on lines."""
    lines = {row.listed.line for row in rows if row.listed.line}
    where = f" on {_counted(len(lines), 'line')}" if lines else ""
    messages = {(row.listed.file, row.listed.message) for row in rows}
    in_order = sorted(rows, key=lambda row: (_STATES.index(row.state), row.said))
    counts = Counter(row.said.replace(",", " in") for row in in_order)
    said = ", ".join(f"{number} {state}" for state, number in counts.items())
    return f"{_counted(len(messages), 'message')}{where}: {said or 'none'}"


def years_of(plant: Plant) -> str:
    """How far was looked ahead."""
    return _counted(plant.defaults.horizon_years, "year")


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"

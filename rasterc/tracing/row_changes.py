"""Which rows of product tables two versions of a message do not share."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TypeGuard

from msgspec import Struct

from rasterc.source.declarations import Input, Products
from rasterc.source.message import Message
from rasterc.source.pieces import Field
from rasterc.source.times import Offset, Step
from rasterc.values.rows.written import depends_on

MAX_CHANGES = 1_000
"""Changed rows that are told of; of the others, how many."""


class RowChange(Struct, frozen=True):
    """A row that the versions have differently; ``old`` or ``new`` is None where it is not there.

    Both hold the cells that differ, by column; of a row that only one has, all that are used.
    """

    table: str
    key: str
    old: Mapping[str, str] | None
    new: Mapping[str, str] | None


class RowChanges(Struct, frozen=True):
    """The first `MAX_CHANGES` changed rows, and how many there are."""

    shown: tuple[RowChange, ...] = ()
    number: int = 0

    def __len__(self) -> int:
        return self.number


def row_changes(old: Message, new: Message) -> RowChanges:
    """The rows of tables that both versions have, as far as what they print depends on them."""
    shown: list[RowChange] = []
    number = 0
    for name, before in old.products.items():
        after = new.products.get(name)
        if after is None or before.sheet is after.sheet:
            continue
        columns = sorted({*_used(old, name), *_used(new, name)})
        for change in _changes(before, after, columns):
            number += 1
            if number <= MAX_CHANGES:
                shown.append(change)
    return RowChanges(tuple(shown), number)


def read_otherwise(old: Message, new: Message) -> list[str]:
    """Tables of which not all is known from one row: they are read by one version alone, or what
    is printed of them is written differently."""
    names = dict.fromkeys((*old.products, *new.products))
    return [name for name in names if _reading(old, name) != _reading(new, name)]


def _reading(message: Message, table: str) -> object:
    """All that is written of a table in a message."""
    made = message.products.get(table)
    pieces = [line.pieces for line in message.lines]
    pieces += (text.pieces for text in message.texts.values())
    pieces += (check.pieces for check in message.checks.values())
    fields = [
        (place, piece.name, tuple(argument.raw for argument in piece.arguments))
        for place, some in enumerate(pieces)
        for piece in some
        if isinstance(piece, Field) and f"{table}." in f"{piece.name} {piece.span.text}"
    ]
    steps = {
        name: [(step.amount, step.unit, step.column) for step in clock.steps if _is_of(step, table)]
        for name, clock in message.clocks.items()
    }
    return made and made.by, fields, {name: some for name, some in steps.items() if some}


def _is_of(step: Step, table: str) -> TypeGuard[Offset]:
    column = step.column if isinstance(step, Offset) else None
    return column is not None and column.startswith(f"{table}.")


def _used(message: Message, table: str) -> Iterator[str]:
    """The columns of a table that something is printed by."""
    for column in (*message.tables, *depends_on(message)):
        if column.startswith(f"{table}."):
            yield column.partition(".")[2]


def _changes(old: Products, new: Products, columns: list[str]) -> Iterator[RowChange]:
    before, after = _rows(old, columns), _rows(new, columns)
    for key in dict.fromkeys((*before, *after)):
        mine, theirs = before.get(key), after.get(key)
        if mine == theirs:
            continue
        if mine is None or theirs is None:
            yield RowChange(old.name, key, _cells(columns, mine), _cells(columns, theirs))
        else:
            differ = [c for c, a, b in zip(columns, mine, theirs, strict=True) if a != b]
            at = [columns.index(column) for column in differ]
            yield RowChange(
                old.name,
                key,
                {columns[n]: mine[n] or "" for n in at},
                {columns[n]: theirs[n] or "" for n in at},
            )


_Cells = tuple[str | None, ...]


def _rows(table: Products, columns: list[str]) -> dict[str, _Cells]:
    """The cells of each row; None for a column that the table lacks."""
    has = [table.sheet.column(c) if c in table.sheet.header else None for c in columns]
    return {
        key: tuple(None if texts is None else texts[row] for texts in has)
        for row, key in enumerate(table.keys)
    }


def _cells(columns: list[str], cells: _Cells | None) -> Mapping[str, str] | None:
    if cells is None:
        return None
    return {name: text for name, text in zip(columns, cells, strict=True) if text is not None}


def shared_key(own: Input, before: Input | None) -> str | None:
    """The first key of the old version that the new one has; else its own first."""
    known = frozenset(own.choices)
    shared = (text for text in (before.choices if before else ()) if text in known)
    return next(shared, own.choices[0] if own.choices else None)

"""Texts by the column: one text for each row, as numbers of the distinct ones.

What hangs on little is worked out once for each thing it hangs on: a `Basis` tells which of few
places (minutes, say) each row takes its text from.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from rasterc.diagnostics import InputError
from rasterc.domain.codes import Index, codes_of, firsts

SMALL = 512
"""Places of a basis up to which neighbours are joined to one column."""

_Made = TypeVar("_Made")


@dataclass(frozen=True, slots=True, eq=False)
class Basis:
    """Places that texts are worked out for.

    Attributes:
        size: how many.
        which: the place of each row, shape (rows,); None when all rows have the only one.
        each: every row has a place of its own, in order.
    """

    size: int
    which: Index | None = None
    each: bool = False


ALL = Basis(1)
"""The basis of what is the same in every row."""


class Kept:
    """What was made once, by key."""

    __slots__ = ("_made",)

    def __init__(self) -> None:
        self._made: dict[Hashable, Any] = {}

    def once(self, key: Hashable, make: Callable[[], _Made]) -> _Made:
        """What ``make`` gives, made once for a key."""
        if key not in self._made:
            self._made[key] = make()
        found: _Made = self._made[key]
        return found


class Table(Kept):
    """Distinct texts, None for what cannot be printed; and what was made of them.

    ``lasts`` is set for one that is used in block after block.
    """

    __slots__ = ("lasts", "texts")

    def __init__(self, texts: tuple[str | None, ...], lasts: bool = False) -> None:
        super().__init__()
        self.texts, self.lasts = texts, lasts

    def mapped(self, key: Hashable, change: Callable[[str], str]) -> Table:
        """The table of changed texts; None where `InputError` is raised."""
        return self.once(key, lambda: self._changed(change))

    def _changed(self, change: Callable[[str], str]) -> Table:
        return Table(tuple(_changed(text, change) for text in self.texts), self.lasts)


def _changed(text: str | None, change: Callable[[str], str]) -> str | None:
    if text is None:
        return None
    try:
        return change(text)
    except InputError:
        return None


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One text a row.

    Attributes:
        table: the distinct texts.
        ids: for each place of the basis the number of its text, shape (basis.size,).
        basis: which place each row takes its text from.
    """

    table: Table
    ids: Index
    basis: Basis = ALL

    def of_rows(self) -> Index | int:
        """The number of each row's text; one number when it is the same in all."""
        if self.basis.which is None:
            return int(self.ids[0])
        return self.ids if self.basis.each else self.ids[self.basis.which]

    def mapped(self, key: Hashable, change: Callable[[str], str]) -> Column:
        """The same rows with changed texts."""
        return Column(self.table.mapped(key, change), self.ids, self.basis)

    def listed(self, rows: int) -> list[str | None]:
        """The text of each row."""
        ids = self.of_rows()
        texts = self.table.texts
        return [texts[ids]] * rows if isinstance(ids, int) else [texts[i] for i in ids.tolist()]


_ZERO = np.zeros(1, np.intp)


def constant(text: str | None) -> Column:
    """A text that is the same in every row."""
    return Column(Table((text,)), _ZERO)


def by_row(table: Table, ids: Index) -> Column:
    """A column whose texts are told row by row."""
    return Column(table, ids, Basis(len(ids), np.arange(len(ids)), each=True))


def of_texts(texts: Sequence[str | None]) -> Column:
    """A column of given texts."""
    numbers = {text: n for n, text in enumerate(dict.fromkeys(texts))}
    ids = np.fromiter((numbers[text] for text in texts), np.intp, len(texts))
    return by_row(Table(tuple(numbers)), ids)


def merged(columns: Sequence[Column], rows: int) -> Column:
    """One column of the joined texts of several."""
    if len(columns) == 1:
        return columns[0]
    if not columns:
        return constant("")
    basis = _shared(columns, rows)
    ids = [_on(column, basis) for column in columns]
    first, which = firsts(codes_of(ids, basis.size))
    chosen = [column.table.texts for column in columns]
    texts = tuple(
        _joined(table[i] for table, i in zip(chosen, place, strict=True))
        for place in zip(*(i[first].tolist() for i in ids), strict=True)
    )
    return Column(Table(texts), which, basis)


def _joined(parts: Iterable[str | None]) -> str | None:
    known = list(parts)
    return None if None in known else "".join(p for p in known if p is not None)


def _shared(columns: Sequence[Column], rows: int) -> Basis:
    """The one basis of columns that is not `ALL`, else the rows themselves."""
    found = {id(c.basis): c.basis for c in columns if c.basis.which is not None}
    if not found:
        return ALL
    if len(found) == 1:
        return next(iter(found.values()))
    return Basis(rows, np.arange(rows), each=True)


def _on(column: Column, basis: Basis) -> Index:
    """The numbers of a column's texts at the places of another basis."""
    if column.basis is basis:
        return column.ids
    ids = column.of_rows()
    return np.full(basis.size, ids, np.intp) if isinstance(ids, int) else ids


def coalesced(columns: Sequence[Column], rows: int) -> list[Column]:
    """The same line in fewer columns: neighbours on one small basis are joined."""
    return [merged(group, rows) for group in _groups(columns)]


def _groups(columns: Sequence[Column]) -> Iterator[list[Column]]:
    group: list[Column] = []
    basis = ALL
    for column in columns:
        if group and not _joinable(basis, column.basis):
            yield group
            group, basis = [], ALL
        group.append(column)
        basis = column.basis if basis.which is None else basis
    if group:
        yield group


def _joinable(one: Basis, other: Basis) -> bool:
    apart = one.which is not None and other.which is not None and one is not other
    return not apart and max(one.size, other.size) <= SMALL


def spelled(column: Column) -> list[Column]:
    """A column of many texts as one column for each character, so that tables stay small."""
    texts = column.table.texts
    if len(texts) <= SMALL or column.table.lasts or None in texts:
        return [column]
    letters = np.array(texts, dtype=np.str_)
    width = letters.dtype.itemsize // 4
    if not width:
        return [column]
    codes = letters.view(np.uint32).reshape(len(texts), width)
    return [_letter(codes[:, place], column) for place in range(width)]


def _letter(codes: NDArray[np.uint32], column: Column) -> Column:
    first, which = firsts(codes.astype(np.int64))
    table = Table(tuple(chr(code) if code else "" for code in codes[first].tolist()))
    return Column(table, which[column.ids], column.basis)


def faulty(columns: Iterable[Column], rows: int) -> NDArray[np.bool_]:
    """The rows in which one of the columns has no text."""
    bad = np.zeros(rows, np.bool_)
    for column in columns:
        without = _without(column.table)
        if without is not None:
            bad |= without[column.of_rows()]
    return bad


def _without(table: Table) -> NDArray[np.bool_] | None:
    """Which texts are None; None when no text is."""

    def find() -> NDArray[np.bool_] | None:
        return np.array([t is None for t in table.texts]) if None in table.texts else None

    return table.once("without", find)

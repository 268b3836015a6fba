"""Tables: texts looked up by key, or by the time of day."""

from __future__ import annotations

from datetime import datetime

from rasterc.diagnostics import Diagnostic, InputError, Span, did_you_mean
from rasterc.source.declarations import Table


def look_up(table: Table, key: str, span: Span | None) -> str:
    """The text for a key. Whole numbers are the same key with and without leading zeros.

    Raises:
        InputError: the table has no such key and no text for others.
    """
    if key in table.rows:
        return table.rows[key]
    if key.isascii() and key.isdigit() and (number := key.lstrip("0") or "0") in table.rows:
        return table.rows[number]
    if table.other is not None:
        return table.other
    raise InputError(lambda: _no_such_key(table, key, span))


def _no_such_key(table: Table, key: str, span: Span | None) -> Diagnostic:
    known = did_you_mean(key, table.rows)
    help = f'add a row "{key}" -> ..., or other -> ...' + (f" ({known})" if known else "")
    return Diagnostic("no-such-key", f'table {table.name} has no row for "{key}"', span, help)


def by_time(table: Table, wall: datetime, span: Span | None) -> str:
    """The text of an ``every`` table at a wall time, counted from midnight or the full hour.

    Raises:
        InputError: the row is missing.
    """
    assert table.every_minutes is not None
    minute = wall.minute if table.every_of == "hour" else wall.hour * 60 + wall.minute
    return look_up(table, str(minute // table.every_minutes), span)

"""The rows of product tables that a print was made from."""

from __future__ import annotations

from collections.abc import Mapping

from rasterc.source.declarations import Products
from rasterc.values.model import ResolvedMessage
from rasterc.values.rows.kinds import key_of


def rows_of(resolved: ResolvedMessage) -> dict[str, Mapping[str, str]]:
    """The cells of each row that was picked, by table and column."""
    found: dict[str, Mapping[str, str]] = {}
    for name, table in resolved.message.products.items():
        key = _key(table, resolved)
        if key in table.keys:
            found[name] = table.sheet.row(table.keys.index(key))
    return found


def _key(table: Products, resolved: ResolvedMessage) -> str:
    counter, given = resolved.message.counters.get(table.by), resolved.instant
    if counter is not None and table.by in given.counters:
        return key_of(counter, given.counters[table.by])
    return given.inputs.get(table.by, "")

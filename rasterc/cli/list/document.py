"""The rows of a list as plain JSON values."""

from __future__ import annotations

from collections.abc import Sequence

from rasterc.cli.list.rows import Row
from rasterc.cli.times import iso
from rasterc.plant import Plant
from rasterc.search.days import Day


def document(plant: Plant, rows: Sequence[Row]) -> dict[str, object]:
    """See `rasterc.cli.documents.listing.ListDocument`."""
    return {
        "plant": plant.name,
        "folder": str(plant.folder),
        "horizon_years": plant.defaults.horizon_years,
        "messages": [_row(row) for row in rows],
    }


def _row(row: Row) -> dict[str, object]:
    one = row.listed
    return {
        "message": one.message,
        "file": str(one.file),
        "line": one.line or None,
        "raster": one.raster or None,
        "strokes": None if one.strokes is None else len(one.strokes),
        "length_mm": one.length_mm,
        "at": iso(one.at),
        "lines": list(one.lines),
        "made_up": list(one.made_up),
        "state": row.state,
        "checked": row.checked,
        "found": row.found or None,
        "next_day": None if row.next_day is None else _day(row.next_day),
        "days": [_day(day) for day in row.ahead.days],
        "cannot_say": list(row.ahead.cannot_say),
        "faults": [fault.as_dict() for fault in one.faults],
    }


def _day(day: Day) -> dict[str, object]:
    return {"day": day.day.isoformat(), "kind": day.kind, "said": day.said}

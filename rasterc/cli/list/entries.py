"""The rows of a list for the HTML file."""

from __future__ import annotations

import os
from collections.abc import Iterator

from rasterc.cli.list.rows import Row, ahead, years_of
from rasterc.output.lists.page import Entry
from rasterc.plant import Plant
from rasterc.search.states import State


def entry_of(plant: Plant, row: Row) -> Entry:
    """A row as the file shows it."""
    one = row.listed
    return Entry(
        one.message or one.file.name,
        one.line,
        os.path.relpath(one.file, plant.folder),
        tuple(_facts(row)),
        row.said,
        "unknown" if row.state is State.NOT_LOOKED_AT else row.state.value,
        _ahead(plant, row),
        one.lines,
        one.strokes,
        one.geometry,
    )


def _ahead(plant: Plant, row: Row) -> str:
    said = ahead(row)
    return said if said != "-" else f"nothing in {years_of(plant)}"


def _facts(row: Row) -> Iterator[str]:
    one = row.listed
    if one.raster:
        yield f"raster {one.raster}"
    if one.length_mm is not None:
        yield f"{one.length_mm:.1f} mm"
    if one.at is not None:
        yield f"at {one.at:%Y-%m-%d %H:%M}"
    if one.made_up:
        yield f"made up: {', '.join(one.made_up)}"

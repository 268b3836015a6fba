"""Which plant a command is meant for: the one that is named, or the one somebody stands in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rasterc.diagnostics import InputError
from rasterc.files import is_file, is_folder

if TYPE_CHECKING:
    from rasterc.plant import Plant

PlantArgument = Annotated[
    Path | None,
    typer.Argument(
        metavar="PLANT",
        help="A plant file, or a folder; the plant of this folder, or the nearest above it, when "
        "left out.",
        show_default=False,
    ),
]


def chosen_plant(place: Path | None) -> Plant:
    """The plant at a place: its file, or a folder with or without one; here without a place.

    Raises:
        InputError: there is none, or with every fault of its file.
    """
    from rasterc.plant import PLANT_FILE, folder_plant, load_plant

    if place is None:
        return load_plant(found_plant())
    if not is_folder(place):
        return load_plant(place)
    file = place / PLANT_FILE
    return load_plant(file) if is_file(file) else folder_plant(place)


def found_plant() -> Path:
    """The plant file of this folder, or the nearest above it.

    Raises:
        InputError: there is none.
    """
    from rasterc.plant import PLANT_FILE, find_plant

    path = find_plant(Path())
    if path is None:
        said = f"there is no {PLANT_FILE} in this folder or above it"
        help = "name a plant file or a folder, or write a plant file: rasterc explain plant"
        raise InputError.one("no-plant", said, help=help)
    return path

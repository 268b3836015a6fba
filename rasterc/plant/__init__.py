"""The plant: its lines, the messages that run on them, product tables, what is known and accepted.

`load_plant` reads a plant file, `folder_plant` takes a folder of messages without one, and
`find_plant` looks for the file where somebody stands.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rasterc.lazy import lazy_names

if TYPE_CHECKING:
    from rasterc.plant.finding import PLANT_FILE, find_plant
    from rasterc.plant.load import folder_plant, load_plant
    from rasterc.plant.model import Defaults, Plant, PlantLine, PlantSilence, Run

__all__ = [
    "PLANT_FILE",
    "Defaults",
    "Plant",
    "PlantLine",
    "PlantSilence",
    "Run",
    "find_plant",
    "folder_plant",
    "load_plant",
]

__getattr__ = lazy_names(
    __name__,
    finding="PLANT_FILE find_plant",
    load="folder_plant load_plant",
    model="Defaults Plant PlantLine PlantSilence Run",
)

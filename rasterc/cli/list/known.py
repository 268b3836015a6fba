"""What `rasterc check` found last of the messages of a plant, as far as that still holds."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from rasterc.cli.check.command import user_memory
from rasterc.cli.check.wanted import Options, of_plant
from rasterc.inspection.kept import Memory, recall
from rasterc.plant import Plant
from rasterc.search.states import Checked, Known, known_of

Key = tuple[str, str, str]
"""File, line and message."""


def known_of_plant(plant: Plant, at: str | None) -> Mapping[Key, Known]:
    """What is known of each message on each line; what is not there was not looked at.

    A check over years tells more than one of a moment. Nothing is checked for it.

    Args:
        plant: the plant; without a plant file nothing is known.
        at: the moment that is looked at, as typed; None for now.
    """
    memory = user_memory()
    if plant.file is None or memory is None:
        return {}
    one_print = _known(plant.file, at, Checked.ONE_PRINT, memory)
    return one_print | _known(plant.file, at, Checked.YEARS, memory)


def _known(file: Path, at: str | None, checked: Checked, memory: Memory) -> dict[Key, Known]:
    options = Options(at=at, everything=checked is Checked.YEARS)
    tasks = of_plant(file, options, memory).tasks
    looked = [one for task in tasks if (one := recall(memory, task))]
    verdicts = [verdict for one in looked for verdict in one.verdicts]
    return {(one.file, one.line or "", one.message): known_of(one, checked) for one in verdicts}

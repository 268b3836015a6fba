"""Checking messages as they run in their plant: its lines, its rules, what it accepts."""

from __future__ import annotations

import os
from collections.abc import Collection
from pathlib import Path

from msgspec import structs

from rasterc.cli.check.command import user_memory
from rasterc.cli.check.outcome import Means, Outcome, look
from rasterc.cli.check.report import report
from rasterc.cli.check.view import View, fails
from rasterc.cli.check.wanted import Options, of_plant
from rasterc.cli.exits import EXIT_BAD_INPUT, EXIT_FINDINGS, EXIT_FINE
from rasterc.cli.say import say, tell


def check_in_plant(plant: Path, options: Options, files: Collection[str], *, whole: bool) -> int:
    """Check messages of a plant, and say what is found in some of them.

    Args:
        plant: the plant file.
        options: those of `check`.
        files: the real paths of the message files of which it is said.
        whole: check the others too; what is found is kept for the list.

    Raises:
        InputError: the plant file has faults, or a setting is of no message.
    """
    memory = user_memory()
    wanted = of_plant(plant, options, memory)
    if not whole:
        tasks = [task for task in wanted.tasks if os.path.realpath(task.file) in files]
        wanted = structs.replace(wanted, tasks=tasks, whole=False)
    outcome = look(wanted, Means(memory))
    said = [one for one in outcome.verdicts if os.path.realpath(one.file) in files]
    _say(structs.replace(outcome, verdicts=said, many=False))
    if outcome.broken:
        return EXIT_BAD_INPUT
    return EXIT_FINDINGS if fails(outcome.checked, View().fail_on) else EXIT_FINE


def _say(outcome: Outcome) -> None:
    say(*(report(outcome, View()) if outcome.checked else ()))
    tell(*(line for fault in outcome.faults() for line in fault.lines()))

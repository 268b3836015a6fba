"""What a plant asks to be looked at, as plain values, which are kept as well.

The plan is made of a `Plant`, or taken from the memory as long as the plant file, and the files
that it names, are what they were.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from rasterc.files.answers import noting
from rasterc.inspection.kept import Memory
from rasterc.inspection.tasks import Accept, Asked, Held, Task
from rasterc.profile.model import RuleSet

if TYPE_CHECKING:
    from rasterc.diagnostics import Span
    from rasterc.plant import Plant, PlantSilence, Run

_WHAT = "plans of plants"


class PlannedSilence(Struct, frozen=True):
    """A silence of the plant, and where its file says so: "plant.toml:12"."""

    rule: str
    because: str
    place: str


class PlannedRun(Struct, frozen=True):
    """A message file on a line: as `Run`, in plain values."""

    file: str
    line: str | None = None
    profile: str | None = None
    speeds_m_s: tuple[float, ...] | None = None
    rules: tuple[RuleSet, ...] = ()
    at: str | None = None
    settings: tuple[str, ...] = ()
    accepts: tuple[Accept, ...] = ()
    by_pattern: bool = False

    def task(self, asked: Asked, when: datetime, given: tuple[tuple[str, str], ...] = ()) -> Task:
        """The run as a task.

        Args:
            asked: what all files are asked.
            when: the moment, or where the years begin.
            given: settings that go before those of the plant.
        """
        own = dict(_pair(setting) for setting in self.settings)
        held = Held(
            when,
            tuple((own | dict(given)).items()),
            line=self.line,
            profile=self.profile,
            speeds_m_s=self.speeds_m_s,
            rules=self.rules,
            accepts=self.accepts,
            must_take=tuple(own),
            may_be_empty=self.by_pattern,
        )
        return Task(self.file, held, asked)


class Plan(Struct, frozen=True):
    """A plant in plain values: see `Plant`.

    Attributes:
        name: how people call the plant.
        lines: the names of its lines.
        runs: each message file on each of its lines.
        silences: all of the plant; `Accept.number` counts them.
        years: how many years are looked ahead.
    """

    name: str
    lines: tuple[str, ...]
    runs: tuple[PlannedRun, ...]
    silences: tuple[PlannedSilence, ...]
    years: int


def plan_of(plant: Plant) -> Plan:
    """The plan of a plant."""
    numbers = {silence: at for at, silence in enumerate(plant.silences)}
    silences = tuple(
        PlannedSilence(one.rule, one.because, _place(one.place)) for one in plant.silences
    )
    runs = tuple(_run(run, numbers) for run in plant.runs)
    names = tuple(line.name for line in plant.lines)
    return Plan(plant.name, names, runs, silences, plant.defaults.horizon_years)


def load_plan(path: Path, memory: Memory | None = None) -> Plan:
    """The plan of a plant file, from the memory where that still holds.

    Raises:
        InputError: with every fault of the file.
    """
    name = ("plan", str(path))
    known = memory.get(name, Plan) if memory else None
    if known is not None:
        return known
    from rasterc.plant import load_plant

    with noting() as noted:
        plan = plan_of(load_plant(path))
    if memory:
        memory.put(name, _WHAT, noted, plan)
    return plan


def _run(run: Run, numbers: Mapping[PlantSilence, int]) -> PlannedRun:
    line = run.line
    return PlannedRun(
        str(run.file),
        line.name if line else None,
        str(line.profile) if line else None,
        line.speeds_m_s if line else None,
        run.rules,
        run.at,
        run.settings,
        tuple(Accept(one.rule, one.because, numbers[one]) for one in run.silences),
        run.by_pattern,
    )


def _place(span: Span | None) -> str:
    return f"{span.source.name}:{span.line}" if span else ""


def _pair(setting: str) -> tuple[str, str]:
    name, _, value = setting.partition("=")
    return name.strip(), value

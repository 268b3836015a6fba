"""Many messages, each on the lines that it runs on, held against every rule.

A `Task` says how a file is to be held against them (`tasks`); `looking` does it, and gives a
`Looked` with a `Verdict` for each message (`verdict`). An `Inspector` (`running`) works tasks off
in many processes, or takes what earlier runs found where nothing changed (`kept`).

>>> from rasterc.inspection import Verdict
>>> Verdict(file="milk.rasterc", message="milk").worst is None
True
"""

from typing import TYPE_CHECKING

from rasterc.lazy import lazy_names

if TYPE_CHECKING:
    from rasterc.inspection.kept import Memory
    from rasterc.inspection.looking import Found, look_at
    from rasterc.inspection.planning import Plan, PlannedRun, plan_of
    from rasterc.inspection.running import Inspector
    from rasterc.inspection.tasks import Accept, Asked, Held, Task
    from rasterc.inspection.verdict import Accepted, Instants, Looked, Verdict

__all__ = [
    "Accept",
    "Accepted",
    "Asked",
    "Found",
    "Held",
    "Inspector",
    "Instants",
    "Looked",
    "Memory",
    "Plan",
    "PlannedRun",
    "Task",
    "Verdict",
    "look_at",
    "plan_of",
]

__getattr__ = lazy_names(
    __name__,
    kept="Memory",
    looking="Found look_at",
    planning="Plan PlannedRun plan_of",
    running="Inspector",
    tasks="Accept Asked Held Task",
    verdict="Accepted Instants Looked Verdict",
)

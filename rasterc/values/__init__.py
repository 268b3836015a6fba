"""Where values come from: clocks, shifts, counters, inputs, tables, check characters.

A `Message` and an `Instant` come in; texts go out. `prepare` (`planning`) makes a message ready
once; `Plan.resolve` (`plan`) gives its texts at an instant, whose values `moment` holds. Read
`planning` first, then `plan`, then the rooms: `fields` for what a declared name prints, `dates` for
clocks and shifts, `given` for counters, inputs and tables.

Nothing here reads the computer's clock: the same message and instant always give the same texts.
"""

from typing import TYPE_CHECKING

from rasterc.lazy import lazy_names

if TYPE_CHECKING:
    from rasterc.values.expects import evaluate_expect
    from rasterc.values.model import Instant, ResolvedBlock, ResolvedLine, ResolvedMessage, Run
    from rasterc.values.moment import Moment, Places
    from rasterc.values.plan import Plan
    from rasterc.values.planning import prepare, resolve
    from rasterc.values.restarts import restart_key

__all__ = [
    "Instant",
    "Moment",
    "Places",
    "Plan",
    "ResolvedBlock",
    "ResolvedLine",
    "ResolvedMessage",
    "Run",
    "evaluate_expect",
    "prepare",
    "resolve",
    "restart_key",
]

__getattr__ = lazy_names(
    __name__,
    expects="evaluate_expect",
    model="Instant ResolvedBlock ResolvedLine ResolvedMessage Run",
    moment="Moment Places",
    plan="Plan",
    planning="prepare resolve",
    restarts="restart_key",
)

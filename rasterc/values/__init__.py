"""Where values come from: clocks, shifts, counters, inputs, tables, check characters.

`prepare` makes a message ready once; `Plan.resolve` gives its texts at an instant. Nothing here
reads the computer's clock: the same message and instant always give the same texts.
"""

from rasterc.values.expects import evaluate_expect
from rasterc.values.model import Instant, ResolvedBlock, ResolvedLine, ResolvedMessage, Run
from rasterc.values.moment import Moment, Places
from rasterc.values.plan import Plan
from rasterc.values.prepare import prepare, resolve
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

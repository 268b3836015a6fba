"""Making declarations ready: the clocks, shifts, counters and inputs of a message."""

from __future__ import annotations

from collections.abc import Mapping

from rasterc.diagnostics import Diagnostic, InputError, did_you_mean
from rasterc.source.message import Clock, Counter, Message
from rasterc.values.clocks import ClockPlan
from rasterc.values.inputs import InputRule, input_rule
from rasterc.values.shifts import Schedule, schedule
from rasterc.values.zones import find_zone

MAX_NESTING = 50  # clocks derived from one another, texts within texts
MAX_COUNTER = 10**18


def prepare_clocks(message: Message, faults: list[Diagnostic]) -> Mapping[str, ClockPlan]:
    """Every clock whose root and zone are found; adds what is wrong with the others."""
    plans: dict[str, ClockPlan] = {}
    for name, clock in message.clocks.items():
        try:
            root = _root(clock, message)
            if clock is root:
                span = clock.zone_span or clock.span
                zone = find_zone(clock.zone, span) if clock.zone is not None else None
                plans[name] = ClockPlan(clock, root, zone)
            else:
                _root_zone(root)
        except InputError as error:
            faults += error.diagnostics
    return plans


def _root(clock: Clock, message: Message) -> Clock:
    """The clock that ``clock`` is derived from in the end."""
    at = clock
    for _ in range(MAX_NESTING):
        name = at.base
        if at.shift is not None:
            name = message.shifts[at.shift].clock
        if name is None:
            return at
        at = message.clocks[name]
    raise InputError.one("", "")

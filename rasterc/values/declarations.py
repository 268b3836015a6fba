"""Making declarations ready: the clocks, shifts, counters and inputs of a message.

Names are known to exist here: the source room has seen to that.
"""

from __future__ import annotations

from collections.abc import Mapping
from zoneinfo import ZoneInfo

from rasterc.diagnostics import Diagnostic, InputError, Span
from rasterc.source.message import Clock, Counter, Message
from rasterc.values.clocks import ClockPlan
from rasterc.values.inputs import InputRule, input_rule
from rasterc.values.shifts import Schedule, schedule
from rasterc.values.zones import find_zone

MAX_NESTING = 50  # clocks derived from one another, texts within texts
MAX_COUNTER = 10**18


def prepare_clocks(message: Message, faults: list[Diagnostic]) -> Mapping[str, ClockPlan]:
    """Every clock whose root and zone are found; adds what is wrong with the others."""
    zones = _zones(message, faults)
    plans: dict[str, ClockPlan] = {}
    for name, clock in message.clocks.items():
        root = _root(clock, message)
        if root is None:
            faults.append(too_deep(f"clock {name}", clock.span))
        elif root.zone is None:
            plans[name] = ClockPlan(clock, root, None)
        elif root.name in zones:  # otherwise the root's zone has been reported
            plans[name] = ClockPlan(clock, root, zones[root.name])
    return plans


def too_deep(what: str, span: Span) -> Diagnostic:
    """The report that declarations refer to one another through too many steps."""
    message = f"{what} refers to others through more than {MAX_NESTING} steps, or to itself"
    return Diagnostic("too-deep", message, span, "declare it with fewer in between")


def _zones(message: Message, faults: list[Diagnostic]) -> dict[str, ZoneInfo]:
    zones: dict[str, ZoneInfo] = {}
    for name, clock in message.clocks.items():
        if clock.zone is not None:
            try:
                zones[name] = find_zone(clock.zone, clock.zone_span or clock.span)
            except InputError as error:
                faults += error.diagnostics
    return zones


def _root(clock: Clock, message: Message) -> Clock | None:
    """The clock that ``clock`` is derived from in the end; None when it is too far away."""
    for _ in range(MAX_NESTING):
        base = clock.base if clock.shift is None else message.shifts[clock.shift].clock
        if base is None:
            return clock
        clock = message.clocks[base]
    return None


def prepare_shifts(
    message: Message, clocks: Mapping[str, ClockPlan], faults: list[Diagnostic]
) -> Mapping[str, Schedule]:
    """The weekly schedule of every shift of a sound clock; adds what is wrong with them."""
    schedules: dict[str, Schedule] = {}
    for name, shift in message.shifts.items():
        clock = clocks.get(shift.clock)
        ready, found = schedule(shift, clock.day_from_minutes if clock else 0)
        faults += found
        if clock and not found:
            schedules[name] = ready
    return schedules


def prepare_inputs(message: Message, faults: list[Diagnostic]) -> Mapping[str, InputRule]:
    """The rule of every input; adds what is wrong with them."""
    rules: dict[str, InputRule] = {}
    for name, declared in message.inputs.items():
        rules[name], found = input_rule(declared)
        faults += found
    return rules


def check_counter(counter: Counter) -> list[Diagnostic]:
    """What keeps a counter from being used."""
    if max(counter.first, counter.last) < MAX_COUNTER:
        return []
    message = f"counter {counter.name} has more than 18 digits"
    return [Diagnostic("counter-too-large", message, counter.span, "use a smaller last value")]

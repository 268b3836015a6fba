"""Making declarations ready: the clocks, shifts, counters and inputs of a message.

Names are known to exist here, or to be in the message's gaps: the source room has seen to that.
"""

from __future__ import annotations

from collections.abc import Mapping
from zoneinfo import ZoneInfo

from msgspec import structs

from rasterc.diagnostics import Diagnostic, InputError, Span
from rasterc.source.declarations import Counter, DateLimit
from rasterc.source.message import Message
from rasterc.source.times import Clock, Offset
from rasterc.values.dates.clocks import ClockPlan
from rasterc.values.dates.shifts import Schedule, schedule
from rasterc.values.dates.typed import typed_date
from rasterc.values.dates.zones import find_zone
from rasterc.values.given.inputs import InputRule, input_rule

MAX_NESTING = 50  # clocks derived from one another, texts within texts
MAX_COUNTER = 10**18


def prepare_clocks(message: Message, faults: list[Diagnostic]) -> Mapping[str, ClockPlan]:
    """Every clock whose root and zone are found; adds what is wrong with the others."""
    zones = _zones(message, faults)
    plans: dict[str, ClockPlan] = {}
    for name, clock in message.clocks.items():
        root = _root(clock, message, faults)
        if root is None:
            continue
        if root.zone is None:
            plans[name] = ClockPlan(clock, root, None)
            _refuse_times(plans[name], faults)
        elif root.name in zones:  # otherwise the root's zone has been reported
            plans[name] = ClockPlan(clock, root, zones[root.name])
    return plans


def limited(
    message: Message,
    clocks: Mapping[str, ClockPlan],
    inputs: Mapping[str, InputRule],
    faults: list[Diagnostic],
) -> tuple[Mapping[str, ClockPlan], Mapping[str, InputRule]]:
    """The same with a clock for each limit of a typed date, which its rule names."""
    all_clocks, rules = dict(clocks), dict(inputs)
    for name, rule in inputs.items():
        if rule.date is None:
            continue
        ends: dict[bool, list[str]] = {True: [], False: []}
        for limit in rule.date.form.limits:
            clock = _limit_clock(name, limit, len(ends[limit.is_first]) + 1)
            root = _root(clock, message, faults)
            if root is None or (root.zone is not None and root.name not in clocks):
                continue  # reported
            if root.typed:
                faults.append(_limited_by_typed(name, root.name, limit.span))
                continue
            zone = clocks[root.name].zone if root.zone is not None else None
            all_clocks[clock.name] = ClockPlan(clock, root, zone)
            ends[limit.is_first].append(clock.name)
        by_time = any(all_clocks[end].zone is not None for end in (*ends[True], *ends[False]))
        date = structs.replace(
            rule.date, firsts=tuple(ends[True]), lasts=tuple(ends[False]), by_time=by_time
        )
        rules[name] = structs.replace(rule, date=date)
    return all_clocks, rules


def _limit_clock(name: str, limit: DateLimit, number: int) -> Clock:
    """The clock that shows the first or last day of a typed date; no name has a blank."""
    end = "first" if limit.is_first else "last"
    which = f"{end} {name}" + (f" {number}" if number > 1 else "")
    return Clock(which, limit.span, base=limit.base, fixed=limit.fixed, steps=limit.steps)


def _limited_by_typed(name: str, other: str, span: Span) -> Diagnostic:
    message = f"date {name} is limited by {other}, which is typed itself"
    help = "limit it by a clock that is read from the moment of printing, or by a fixed date"
    return Diagnostic("typed-limit", message, span, help)


def _refuse_times(plan: ClockPlan, faults: list[Diagnostic]) -> None:
    """A typed date is a day: nothing is known of the minutes and hours of it."""
    for step in plan.clock.steps if plan.root.typed else ():
        if isinstance(step, Offset) and step.unit.elapsed_minutes:
            message = f"{plan.root.name} is a date that is typed, and has no time of day"
            faults.append(Diagnostic("no-time-of-day", message, step.span, "add days instead"))


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


def _root(clock: Clock, message: Message, faults: list[Diagnostic]) -> Clock | None:
    """The clock that ``clock`` is derived from in the end.

    None when it is too far away, which is added to ``faults``, or in a gap of the message.
    """
    root: Clock | None = clock
    for _ in range(MAX_NESTING):
        if root is None:
            return None
        if root.base is None and root.shift is None:
            return root
        shift = message.shifts.get(root.shift) if root.shift is not None else None
        base = shift.clock if shift is not None else root.base
        root = message.clocks.get(base) if base is not None else None
    faults.append(too_deep(f"clock {clock.name}", clock.span))
    return None


def prepare_shifts(
    message: Message, clocks: Mapping[str, ClockPlan], faults: list[Diagnostic]
) -> Mapping[str, Schedule]:
    """The schedule of every shift of a sound clock; adds what is wrong with them."""
    schedules: dict[str, Schedule] = {}
    for name, shift in message.shifts.items():
        clock = clocks.get(shift.clock)
        ready, found = schedule(shift, clock.day_from_minutes if clock else 0)
        faults += () if message.in_doubt(name) else found
        if clock and clock.root.typed:
            why = f"{clock.root.name} is a date that is typed, and has no time of day"
            help = "let the shift go by a clock that is read from the moment of printing"
            faults.append(Diagnostic("no-time-of-day", why, shift.span, help))
        if clock and not found:
            schedules[name] = ready
    return schedules


def prepare_inputs(message: Message, faults: list[Diagnostic]) -> Mapping[str, InputRule]:
    """The rule of every input; adds what is wrong with them."""
    rules: dict[str, InputRule] = {}
    for name, declared in message.inputs.items():
        rules[name], found = input_rule(declared, texts=not message.in_doubt(name))
        faults += found
        if declared.date is not None:
            date, found = typed_date(declared.date, name)
            faults += found
            rules[name] = structs.replace(rules[name], date=date)
    return rules


def check_restart(counter: Counter, clocks: Mapping[str, ClockPlan]) -> list[Diagnostic]:
    """What is wrong with the clock that a counter restarts with."""
    clock = clocks.get(counter.restart_of or "")
    if clock is None or not clock.root.typed:
        return []
    message = f"counter {counter.name} cannot restart with a date that is typed"
    help = "let it restart with a clock that is read from the moment of printing"
    return [Diagnostic("typed-restart", message, counter.span, help)]


def check_counter(counter: Counter) -> list[Diagnostic]:
    """What keeps a counter from being used."""
    if max(counter.first, counter.last) < MAX_COUNTER:
        return []
    message = f"counter {counter.name} has more than 18 digits"
    return [Diagnostic("counter-too-large", message, counter.span, "use a smaller last value")]

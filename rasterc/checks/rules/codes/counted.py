"""Counters as they are printed: which, and for how long their numbers stay the same."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from rasterc.checks.clock_changes import next_backward
from rasterc.checks.model import Subject
from rasterc.checks.pace import MINUTES_PER_DAY
from rasterc.diagnostics import Span
from rasterc.source.declarations import Counter
from rasterc.values.fields.kinds import CounterText

COUNTED = """
message example {{
  raster 7
  font upright-7
  clock packed in "Europe/Dublin"
  counter case from 1 to {last}, restart daily of packed, at end {end}
  block {{ line: packed({date}) " " case({width}) }}
  expect at 2027-11-25 14:05 {{ "{text}" }}
}}
"""


def counters(subject: Subject) -> Iterator[tuple[Counter, Span]]:
    """The printed counters, each once, with the place of its declaration."""
    sources = [f.source for f in subject.plan.fields if isinstance(f.source, CounterText)]
    for counter in {source.counter.name: source.counter for source in sources}.values():
        yield counter, counter.span


def restart_minutes(subject: Subject, counter: Counter) -> float:
    """The longest time between two restarts, in minutes."""
    name, longest = counter.restart_of, counter.restart.longest_days * MINUTES_PER_DAY
    if name is None:
        return inf
    if counter.restart.of == "shift":
        return longest_shift(subject, name)
    zone, when = subject.plan.clocks[name].zone, subject.when
    change = next_backward(zone, when) if zone and when else None
    return longest - (change.shift.total_seconds() / 60 if change else 0)


def longest_shift(subject: Subject, name: str) -> int:
    """The longest stretch between two edges of a shift's schedule, in minutes."""
    return max(subject.plan.schedules[name].lasting)

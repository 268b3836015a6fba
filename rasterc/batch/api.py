"""Rows of a Python program, compiled in blocks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import UTC
from fractions import Fraction
from typing import Any

from rasterc.batch.block import Block
from rasterc.batch.compiler import Compiler
from rasterc.batch.counting import stretches_of
from rasterc.batch.data import of_rows
from rasterc.batch.given import Given
from rasterc.batch.pace import Pace, step_of
from rasterc.batch.parts import BLOCK, compiled
from rasterc.batch.rows import micros_of
from rasterc.batch.source import Counted, RowSource
from rasterc.diagnostics import InputError
from rasterc.fonts.model import Font
from rasterc.layout import Composer
from rasterc.profile.model import LineProfile
from rasterc.source.declarations import Counter
from rasterc.values import Instant, Plan


def batch(
    plan: Plan,
    fonts: Mapping[str, Font],
    composer: Composer,
    rows: Any,
    instant: Instant,
    every: str | None,
    profile: LineProfile | None,
) -> Iterator[Block]:
    """The blocks of a message for many rows, see `rasterc.code.Code.batch`."""
    step = Fraction(0) if every is None else step_of(every, profile, None)
    source = source_of(plan, rows, instant, pace_of(plan, instant, step))
    compiler = Compiler(plan, fonts, composer, profile)
    for told in source.told(0, BLOCK):
        yield compiled(compiler, told)


def source_of(plan: Plan, rows: Any, instant: Instant, pace: Pace) -> RowSource:
    """Where rows come from: a number of them, or data.

    Raises:
        InputError: a value cannot be, or there are no such rows.
    """
    before = {n: prints_before(c, instant) for n, c in plan.message.counters.items()}
    if not isinstance(rows, int) or isinstance(rows, bool):
        return Given(plan, of_rows(rows), pace, before, instant.inputs)
    if rows < 1:
        raise InputError.one("bad-count", f"{rows} rows cannot be printed", help="give 1 or more")
    plan.resolve(instant)  # says what is missing or wrong before anything is done
    return counted(plan, rows, pace, before, instant.inputs)


def counted(
    plan: Plan, rows: int, pace: Pace, before: Mapping[str, int], inputs: Mapping[str, str]
) -> Counted:
    """So many rows of a message, whose counters go on after so many prints."""
    pace.refuse_far(rows)
    stretches = {
        name: stretches_of(plan, counter, pace, rows, before.get(name, 0))
        for name, counter in plan.message.counters.items()
    }
    return Counted(rows, pace, stretches, inputs)


def prints_before(counter: Counter, instant: Instant) -> int:
    """Prints of a counter before the value it begins with; raises `InputError`."""
    value = instant.counters.get(counter.name, counter.first)
    if value in counter.values:
        return counter.values.index(value) * counter.repeat
    said = f"counter {counter.name} never prints {value}"
    raise InputError.one("counter-out-of-reach", said, counter.span)


def pace_of(plan: Plan, instant: Instant, step: Fraction) -> Pace:
    """The moments of rows from an instant on.

    A naive time is wall time of the message's clocks, UTC where it has none; of a message that
    reads none and whose counters restart by none, no moment is told.

    Raises:
        InputError: the time does not exist or cannot be told.
    """
    when, clocks = instant.when, plan.clocks
    timed = plan.clocks_read() or any(c.restart_of for c in plan.message.counters.values())
    if when is None or not (timed or step or clocks):
        return Pace(None, step)
    if when.tzinfo is None and not clocks:
        return Pace(micros_of(when.replace(tzinfo=UTC)), step)
    return Pace(micros_of(plan.when(instant)), step)

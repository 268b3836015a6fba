"""Messages from text, and the slow way to every answer: try all values, one by one.

The brute force uses nothing of the extremes room: it resolves and lays out every value.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import product
from zoneinfo import ZoneInfo

import pytest

from rasterc.api import Code, load_text
from rasterc.diagnostics import InputError
from rasterc.domain.horizon import Horizon
from rasterc.extremes.group import LOWEST
from rasterc.extremes.kinds import KINDS
from rasterc.layout import compile_strokes, lay_out
from rasterc.values import Instant

LEAST = tuple(name for name, kind in KINDS.items() if kind.sense == LOWEST)
DUBLIN = ZoneInfo("Europe/Dublin")


def code_of(declarations: str, lines: str, raster: int = 16, font: str = "upright-7") -> Code:
    """A message with these declarations and this content of its one block, or its blocks."""
    blocks = lines if lines.lstrip().startswith("block") else f"block {{ {lines} }}"
    text = f"message test {{ raster {raster} font {font}\n {declarations}\n {blocks} }}"
    return load_text(text)


def stretch(start: str, minutes: int, zone: ZoneInfo = DUBLIN) -> Horizon:
    """So many minutes from a wall time."""
    first = datetime.fromisoformat(start).replace(tzinfo=zone)
    last = (first.astimezone(UTC) + timedelta(minutes=minutes)).astimezone(zone)
    return Horizon(first, last, zone)


@dataclass(frozen=True, slots=True)
class Seen:
    """What one value comes to."""

    instant: Instant
    lines: tuple[str, ...]
    measures: dict[str, int]


def moments(horizon: Horizon, seconds: bool = False) -> Iterator[datetime]:
    """Every minute of a stretch, or every second."""
    at, end = horizon.start.astimezone(UTC), horizon.end.astimezone(UTC)
    while at < end:
        yield at.astimezone(horizon.zone)
        at += timedelta(seconds=1 if seconds else 60)


def every_value(
    code: Code,
    horizon: Horizon,
    inputs: dict[str, list[str]],
    window: int = 20,
    seconds: bool = False,
) -> list[Seen]:
    """Every value in order: by time, then by counters from the lowest, then by inputs as given."""
    times = list(moments(horizon, seconds)) if code.plan.clocks_read() else [None]
    printed = {field.name for field in code.plan.fields}
    numbers = {n: sorted(c.values) for n, c in code.message.counters.items() if n in printed}
    texts = {name: some for name, some in inputs.items() if name in printed}
    measured: dict[tuple[str, ...], dict[str, int]] = {}
    seen: list[Seen] = []
    for when, *chosen in product(times, *numbers.values(), *texts.values()):
        values = dict(zip([*numbers, *texts], chosen, strict=True))
        instant = Instant(
            when, {n: values[n] for n in numbers}, {name: values[name] for name in texts}
        )
        resolved = code.plan.resolve(instant)
        if resolved.lines not in measured:
            measured[resolved.lines] = _measure(code, resolved, window)
        seen.append(Seen(instant, resolved.lines, measured[resolved.lines]))
    return seen


def _measure(code: Code, resolved, window: int) -> dict[str, int]:
    try:
        strokes = compile_strokes(lay_out(resolved, code.fonts, code.composer))
    except InputError:
        return {}
    lines = [line for block in resolved.blocks for line in block.content]
    printed = [(code.fonts[one.line.font], one.line) for one in lines if one.text.strip()]
    heights = [f.cell_width() if line.tower else f.rows_of("H0") for f, line in printed]
    drops = [int(column).bit_count() for column in strokes.columns]
    windows = range(max(1, len(drops) - window + 1))
    return {
        "longest": len(strokes),
        "shortest": len(strokes),
        "most-drops": strokes.drops,
        "fewest-drops": strokes.drops,
        "densest": max(sum(drops[first : first + window]) for first in windows),
        "lowest": min(heights, default=0),
        "highest": min(heights, default=0),
        "most-characters": sum(map(len, resolved.lines)),
        "fewest-characters": sum(map(len, resolved.lines)),
    }


def best_of(seen: list[Seen], name: str) -> Seen:
    """The first value that is best in a measure, of those that can be printed."""
    printable = [one for one in seen if one.measures]
    pick = min if name in LEAST else max
    value = pick(one.measures[name] for one in printable)
    return next(one for one in printable if one.measures[name] == value)


@dataclass(frozen=True, slots=True)
class Brute:
    """The functions above, for tests."""

    code_of = staticmethod(code_of)
    stretch = staticmethod(stretch)
    every_value = staticmethod(every_value)
    best_of = staticmethod(best_of)
    least = LEAST
    moments = staticmethod(moments)


@pytest.fixture(scope="session")
def brute() -> Brute:
    return Brute()

"""Moments, counters and inputs that could have printed something, for people and for machines."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import wrap
from typing import TYPE_CHECKING

from rasterc.cli.times import iso, period
from rasterc.diagnostics import visible

if TYPE_CHECKING:
    from rasterc.source.declarations import Counter
    from rasterc.tracing.matches import CounterRanges, Group, Match

_RANGES = 20  # of a counter
_WIDTH = 78


def match_lines(match: Match, values: list[str]) -> list[str]:
    """The time of a match with its values beside it, or below it when they are long."""
    if match.start is None or match.until is None:
        return [part for value in values for part in wrapped(value, 2)]
    time = f"  {period(match.start, match.until)}"
    line = "  ".join([time, *values])
    if len(line) <= _WIDTH:
        return [line]
    return [time, *(part for value in values for part in wrapped(value, 4))]


def wrapped(text: str, by: int) -> list[str]:
    """A text in lines that are not too long, moved in."""
    return wrap(visible(text), _WIDTH, initial_indent=" " * by, subsequent_indent=" " * (by + 2))


def values_of(found: Match | Group, counters: Mapping[str, Counter]) -> list[str]:
    """Counters and inputs, one text for each.

    Args:
        found: what could have printed it.
        counters: the counters of the message, by name.
    """
    return [
        *(f"{name} {_ranges(counters[name], parts)}" for name, parts in found.counters.items()),
        *(f"{name} {', '.join(map(_quoted, texts))}" for name, texts in found.inputs.items()),
    ]


def _quoted(text: str) -> str:
    return text if text == "..." else f'"{text}"'


def _ranges(counter: Counter, found: CounterRanges) -> str:
    shown = [_range(counter, part) for part in found.ranges[:_RANGES]]
    more = found.more or len(found.ranges) > _RANGES
    return ", ".join([*shown, *(["..."] if more else [])])


def _range(counter: Counter, part: range) -> str:
    from rasterc.values.given.counters import text_of

    first, last = text_of(counter, part[0]), text_of(counter, part[-1])
    if len(part) == 1:
        return first
    return f"{first} to {last}" + (f" in steps of {part.step}" if part.step > 1 else "")


def match_part(match: Match) -> dict[str, object]:
    """A match as a `MatchPart`."""
    return {
        "from": iso(match.start),
        "until": iso(match.until),
        "counters": {
            name: [{"first": p[0], "last": p[-1], "step": p.step} for p in found.ranges]
            for name, found in match.counters.items()
        },
        "inputs": {name: list(texts) for name, texts in match.inputs.items()},
    }

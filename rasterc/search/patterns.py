"""What the lines of a message can print at all, in a form that can be kept.

A line is a row of parts that stand one after another.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from rasterc.domain.anytime import AnytimeTexts, is_open
from rasterc.domain.atoms import lines_of
from rasterc.domain.texts import Component
from rasterc.values.plan import Plan

MOST_LISTED = 400  # texts of a part that are kept one by one


class Listed(Struct, frozen=True, tag=True, array_like=True):
    """One of some texts."""

    texts: tuple[str, ...]


class Loose(Struct, frozen=True, tag=True, array_like=True):
    """Any text of some characters, any at all if that is None, and of some lengths."""

    chars: str | None
    shortest: int
    longest: int


LinePart = Listed | Loose


def patterns_of(plan: Plan) -> list[tuple[tuple[LinePart, ...], ...]]:
    """What each line of a message can print, block by block, from top to bottom: one pattern, or,
    where dates go by the rows of a table, each pattern that is of some rows."""
    lines = zip(*map(_of_plain, plan.plain()), strict=True)
    return [tuple(dict.fromkeys(patterns)) for patterns in lines]


def _of_plain(plan: Plan) -> list[tuple[LinePart, ...]]:
    texts = AnytimeTexts(plan)
    return [tuple(_joined(texts.pieces(line.pieces))) for line in lines_of(plan)]


def _joined(parts: Iterable[Component]) -> Iterator[LinePart]:
    """The parts as they are kept; literal texts that stand side by side are one."""
    literal = ""
    for part in parts:
        kept = _kept(part)
        if isinstance(kept, Listed) and len(kept.texts) == 1:
            literal += kept.texts[0]
            continue
        if literal:
            yield Listed((literal,))
            literal = ""
        yield kept
    if literal:
        yield Listed((literal,))


def _kept(part: Component) -> LinePart:
    if part.texts is not None and len(part.texts) <= MOST_LISTED:
        return Listed(tuple(sorted(part.texts)))
    chars = None if is_open(part) else "".join(sorted(part.chars))
    return Loose(chars, part.shortest, part.longest)

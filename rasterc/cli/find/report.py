"""What `rasterc find` found, for people."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import datetime, time
from itertools import islice
from textwrap import wrap
from typing import TYPE_CHECKING

from rasterc.cli.matches import match_lines, values_of, wrapped
from rasterc.diagnostics import visible
from rasterc.domain.count import Count

if TYPE_CHECKING:
    from rasterc.plant import Plant
    from rasterc.search import FindResult, Hit, Misread, Unsure

_SHOWN = 20  # messages
_TIMES = 3  # of each


def report(result: FindResult, plant: Plant, now: datetime) -> list[str]:
    """The messages found, those of which it cannot be said, and what comes closest."""
    out = [*_summary(result, plant), *_searched(result)]
    for hit in result.hits[:_SHOWN]:
        out += ["", *_hit(hit, plant, now)]
    if len(result.hits) > _SHOWN:
        out += ["", f"and {len(result.hits) - _SHOWN:,} more messages: give more, or --json"]
    if result.unsure:
        out += ["", f"cannot say of {len(result.unsure)}:"]
        out += [line for one in result.unsure[:_SHOWN] for line in _unsure(one, plant)]
    if result.closest:
        out += ["", "No answer, but one character away:"]
        for hit in result.closest:
            out += ["", *_hit(hit, plant, now, result.texts)]
    return out


def _summary(result: FindResult, plant: Plant) -> list[str]:
    """How many could have printed it."""
    found = f"{len(result.hits):,}" if result.hits else "none"
    of = f"{result.messages:,} message{'' if result.messages == 1 else 's'}"
    return wrap(visible(f"{plant.name}: {found} of {of} could have printed this"), 78)


def _searched(result: FindResult) -> list[str]:
    first, until = result.window
    how = "as parts of lines" if result.parts else "as whole lines"
    return [f"  searched {_moment(first)} until {_moment(until)}, {how}"]


def _moment(moment: datetime) -> str:
    """A moment, a midnight as its date."""
    return f"{moment:%Y-%m-%d}" if moment.time() == time() else f"{moment:%Y-%m-%d %H:%M}"


def _hit(hit: Hit, plant: Plant, now: datetime, texts: tuple[str, ...] = ()) -> Iterator[str]:
    yield from wrapped(f"{hit.message}{_on(hit)}, {_named(hit.file, plant)}, {_where(hit)}", 0)
    if hit.misread is not None:
        yield from wrapped(_misread(hit.misread, texts), 2)
    for match in islice(hit.nearest(now), _TIMES):
        yield from match_lines(match, values_of(match, hit.counters))
    more = len(hit.result) - _TIMES
    if more > 0:
        number, exact = hit.combinations
        said = Count(number, exact=True).said + ("" if exact else " or more")
        yield f"  and {more:,} more: {said} combinations of minute and counters"
    if not hit.result.verified:
        yield "  too many possibilities to work out check characters: some may be wrong"


def _on(hit: Hit | Unsure) -> str:
    return f" on {', '.join(hit.on)}" if hit.on else ""


def _named(file: os.PathLike[str], plant: Plant) -> str:
    """A file as the plant file names it."""
    return os.path.relpath(file, plant.folder).replace(os.sep, "/")


def _where(hit: Hit) -> str:
    numbers = [str(line + 1) for line in hit.where]
    return f"line{'' if len(numbers) == 1 else 's'} {', '.join(numbers)}"


def _misread(misread: Misread, texts: tuple[str, ...]) -> str:
    text = texts[misread.text]
    printed = text[: misread.place] + misread.printed + text[misread.place + 1 :]
    often = f"{misread.chance:.2%} of the time" if misread.chance >= 5e-5 else "hardly ever"
    return f'"{printed}", with {misread.printed} read as {misread.read}: {often} at 2 % lost drops'


def _unsure(one: Unsure, plant: Plant) -> list[str]:
    name = _named(one.file, plant) if one.message is None else one.message
    return wrapped(f"{name}{_on(one)}: {one.why}", 2)

"""A code read off a pack, looked for in all messages of the plant; in a process of its own."""

from __future__ import annotations

import os
from datetime import datetime
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from rasterc.search.find import Finder
    from rasterc.search.model import Hit
    from rasterc.tracing.matches import Match

_MOST_HITS, _MOST_MATCHES = 30, 3


class Wanted(Struct, frozen=True):
    """Lines as read, the plant, and the moment of asking; ``stamp`` changes as its files do."""

    folder: str
    file: str | None
    lines: tuple[str, ...]
    when: datetime
    stamp: int


class Moment(Struct, frozen=True):
    """When a message could have printed it, in words, and values that show that print."""

    said: str
    at: str
    counters: dict[str, int]
    inputs: dict[str, str]


class Found(Struct, frozen=True):
    """A message that could have printed it, and when, the nearest moments first."""

    file: str
    message: str
    line: str
    moments: tuple[Moment, ...]
    misread: str = ""


class Answer(Struct, frozen=True):
    """What could have printed a code; what comes close when nothing could; what cannot be said."""

    hits: tuple[Found, ...]
    close: tuple[Found, ...]
    unsure: tuple[str, ...]
    messages: int


def find(wanted: Wanted) -> Answer:
    """The messages that could have printed the lines; raises `InputError`."""
    result = _finder(wanted.folder, wanted.file, wanted.stamp).find(wanted.lines, wanted.when)
    hits = tuple(_found(hit, wanted) for hit in result.hits[:_MOST_HITS])
    close = tuple(_found(hit, wanted) for hit in result.closest[:_MOST_HITS])
    unsure = tuple(f"{one.message or one.file.name}: {one.why}" for one in result.unsure)
    return Answer(hits, close, unsure, result.messages)


@lru_cache(maxsize=2)
def _finder(folder: str, file: str | None, stamp: int) -> Finder:
    """The messages of a plant, read once while its files stay."""
    from rasterc.plant import folder_plant, load_plant
    from rasterc.search.find import Finder

    del stamp
    return Finder(load_plant(Path(file)) if file else folder_plant(Path(folder)))


def _found(hit: Hit, wanted: Wanted) -> Found:
    file = Path(os.path.realpath(hit.file)).relative_to(os.path.realpath(wanted.folder))
    moments = tuple(_moment(one) for one in islice(hit.nearest(wanted.when), _MOST_MATCHES))
    wrong = hit.misread
    misread = f"{wrong.read} read for {wrong.printed}" if wrong else ""
    return Found(file.as_posix(), hit.message, hit.on[0] if hit.on else "", moments, misread)


def _moment(match: Match) -> Moment:
    values = {name: found.ranges[0][0] for name, found in match.counters.items() if found.ranges}
    at = match.start.isoformat() if match.start else ""
    said = [at[:16].replace("T", " ")] if at else []
    said += [f"{name} {value}" for name, value in values.items()]
    said += [f'{name} "{texts[0]}"' for name, texts in match.inputs.items() if texts]
    # a text with a character that is not known is said, and not printed with
    whole = {
        name: texts[0] for name, texts in match.inputs.items() if texts and "?" not in texts[0]
    }
    return Moment(", ".join(said), at, values, whole)

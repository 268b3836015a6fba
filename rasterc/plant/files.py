"""The message files that the entries of a plant file mean."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from msgspec import Struct

from rasterc.diagnostics import Diagnostic, InputError
from rasterc.plant.finding import Ground, is_pattern
from rasterc.source.load import SUFFIX


class Named(Struct, frozen=True):
    """The files that an entry means, or what is wrong with its name."""

    files: tuple[Path, ...] = ()
    by_pattern: bool = False
    faults: tuple[Diagnostic, ...] = ()


def files_named(ground: Ground, texts: Sequence[str | None]) -> Iterator[Named]:
    """What each entry means; a file that is named itself is left out of patterns."""
    alone = [None if text is None or is_pattern(text) else _one(ground, text) for text in texts]
    taken = {ground.key(path) for one in alone if one for path in one.files}
    for text, one in zip(texts, alone, strict=True):
        yield one or (Named() if text is None else _many(ground, text, taken))


def _one(ground: Ground, text: str) -> Named:
    try:
        path = ground.path(text)
    except InputError as error:
        return Named(faults=error.diagnostics)
    if path.suffix != SUFFIX:
        said = f'"{text}" does not end in {SUFFIX}'
        return Named(faults=(Diagnostic("bad-path", said, help="name a message file"),))
    return Named((path,))


def _many(ground: Ground, text: str, taken: set[str]) -> Named:
    try:
        found = ground.messages(text)
    except InputError as error:
        return Named(faults=error.diagnostics)
    return Named(tuple(path for path in found if ground.key(path) not in taken), by_pattern=True)

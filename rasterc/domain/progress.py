"""Who is told what a long search does: from time to time, and only if it takes long."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

Progress = Callable[[str], None]
"""Told in words what is being done now."""

_Item = TypeVar("_Item")
_EVERY = 256


def quiet(_: str) -> None:
    """Tells nobody."""


def counted(items: Iterable[_Item], what: str, progress: Progress) -> Iterator[_Item]:
    """The same items, and every so many of them how many have been looked at."""
    for number, item in enumerate(items):
        if number and number % _EVERY == 0:
            progress(f"{number:,} {what}")
        yield item

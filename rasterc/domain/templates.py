"""What is known of a text, character by character.

A template says for each place which characters may stand there; None is any.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import lru_cache

from rasterc.source.quoting import composed

UNREAD = "?"
"""Stands for one character that could not be read."""

Template = tuple[frozenset[str] | None, ...]
Lengths = frozenset[int]


def template_of(text: str) -> Template:
    """The template of a text as read, `UNREAD` where a character was not.

    >>> template_of("A?") == (frozenset("A"), None)
    True
    """
    return tuple(None if char == UNREAD else frozenset(char) for char in composed(text))


def any_of(length: int) -> Template:
    """The template of every text of this length."""
    return (None,) * length


@lru_cache(maxsize=4096)
def matcher(template: Template) -> Callable[[str], object]:
    """A function that tells whether a text fits a template."""
    places = ("." if place is None else f"[{_listed(place)}]" for place in template)
    return re.compile("".join(places), re.DOTALL).fullmatch


def _listed(place: Iterable[str]) -> str:
    return "".join(re.escape(char) for char in sorted(place)) or "^\\s\\S"


def meet(first: Template, second: Template) -> Template | None:
    """What fits both templates; None when nothing does."""
    if len(first) != len(second):
        return None
    places: list[frozenset[str] | None] = []
    for a, b in zip(first, second, strict=True):
        place = b if a is None else a if b is None else a & b
        if place is not None and not place:
            return None
        places.append(place)
    return tuple(places)


def shown(template: Template) -> str:
    """The template for a person to read: `?` for any character, `[Aa]` for one of several."""
    return "".join(map(_shown_place, template))


def _shown_place(place: frozenset[str] | None) -> str:
    if place is None:
        return UNREAD
    return "".join(place) if len(place) == 1 else f"[{''.join(sorted(place))}]"

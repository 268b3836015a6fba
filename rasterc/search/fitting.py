"""Whether a line can print what was read, by its parts: quick, and never a wrong no."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence

from rasterc.domain.templates import Template
from rasterc.search.patterns import LinePart, Listed, Loose

Numbers = Sequence[int]
"""The parts of a line, as places in the list of all parts."""


class Reading:
    """A text as read, held against lines whose parts are shared between them.

    Args:
        read: what was read; None for a line of which nothing was.
        parts: all parts that lines are made of.
        is_part: whether anything may stand before it and after it.
    """

    def __init__(self, read: Template | None, parts: Sequence[LinePart], is_part: bool) -> None:
        self._read: Template = read or ()
        self._parts = parts
        self._begins = self._begun if is_part else self._whole
        self._fits_all = read is None or (is_part and not read)
        self._text = "".join(_only(place) for place in self._read)
        self._plain = "\0" not in self._text
        self._ends_of: dict[tuple[int, int], Collection[int]] = {}
        self._begun_in: dict[int, Collection[int]] = {}
        self._allowed: dict[str | None, list[int]] = {}

    def fits(self, line: Numbers) -> bool:
        """Whether the line can print it."""
        return self._fits_all or self._begins(line)

    def _whole(self, line: Numbers) -> bool:
        places: Collection[int] = (0,)
        for part in line:
            places = self._after(part, places)
            if not places:
                return False
        return len(self._read) in places

    def _begun(self, line: Numbers) -> bool:
        """Whether a part of the line is what was read: `places` are where it goes on in it."""
        places: Collection[int] = ()
        for part in line:
            if any(self._ends_in(part, place) for place in places):
                return True
            begun = self._begins_in(part)
            if len(self._read) in begun:
                return True
            places = {*self._after(part, places), *begun} if places else begun
        return False

    def _after(self, part: int, places: Iterable[int]) -> Collection[int]:
        """Where it goes on after a whole part that begins at one of some places."""
        return {end for place in places for end in self._ends(part, place)}

    def _ends(self, part: int, place: int) -> Collection[int]:
        key = part, place
        if key not in self._ends_of:
            self._ends_of[key] = tuple(self._work_out_ends(self._parts[part], place))
        return self._ends_of[key]

    def _work_out_ends(self, part: LinePart, place: int) -> Iterable[int]:
        left = len(self._read) - place
        if isinstance(part, Loose):
            most = min(part.longest, self._run(part.chars, place))
            return range(place + part.shortest, place + most + 1)
        texts = (text for text in part.texts if len(text) <= left)
        return {place + len(text) for text in texts if self._agrees(text, place)}

    def _ends_in(self, part: int, place: int) -> bool:
        """Whether the rest from a place on, which is not empty, can begin a text of a part."""
        one, left = self._parts[part], len(self._read) - place
        if isinstance(one, Loose):
            return self._run(one.chars, place) >= left and one.longest >= left
        return any(len(text) >= left and self._agrees(text[:left], place) for text in one.texts)

    def _begins_in(self, part: int) -> Collection[int]:
        """How much of it, more than nothing, can stand at the end of a part; all of it also when
        it stands amidst the part."""
        if part not in self._begun_in:
            one = self._parts[part]
            found = self._in_loose(one) if isinstance(one, Loose) else self._in_listed(one)
            self._begun_in[part] = tuple(sorted(found))
        return self._begun_in[part]

    def _in_loose(self, part: Loose) -> Iterable[int]:
        return range(1, min(part.longest, self._run(part.chars, 0)) + 1)

    def _in_listed(self, part: Listed) -> set[int]:
        size = len(self._read)
        found: set[int] = set()
        for text in part.texts:
            for start in range(len(text)):
                end = text[start : start + size]
                if len(end) not in found and self._agrees(end, 0):
                    found.add(len(end))
        return found

    def _agrees(self, text: str, place: int) -> bool:
        """Whether characters can stand from a place on."""
        if self._plain:
            return self._text.startswith(text, place)
        places = self._read[place : place + len(text)]
        return all(some is None or char in some for some, char in zip(places, text, strict=True))

    def _run(self, chars: str | None, place: int) -> int:
        """How many of the places from one on can hold these characters, without a gap."""
        if chars not in self._allowed:
            self._allowed[chars] = self._runs(_holds(chars))
        return self._allowed[chars][place]

    def _runs(self, holds: Callable[[frozenset[str]], bool]) -> list[int]:
        runs = [0]
        for some in reversed(self._read):
            runs.append(runs[-1] + 1 if some is None or holds(some) else 0)
        return runs[::-1]


def _only(place: frozenset[str] | None) -> str:
    """The one character that may stand at a place, NUL for one of several."""
    return next(iter(place)) if place is not None and len(place) == 1 else "\0"


def _holds(chars: str | None) -> Callable[[frozenset[str]], bool]:
    if chars is None:
        return lambda _: True
    known = frozenset(chars)
    return lambda some: not known.isdisjoint(some)


Blocks = Sequence[int]
"""For each line of a message the number of its block."""

MOST_ASSIGNMENTS = 1000


def assignments(
    fits: Sequence[Sequence[bool]], blocks: Blocks
) -> tuple[tuple[int, ...], ...] | None:
    """The lines that texts can be, a line for each text: those of one block from top to bottom.

    Args:
        fits: for each text, whether each line can print it.
        blocks: the blocks of the lines.

    Returns:
        None when there are more than `MOST_ASSIGNMENTS`.
    """
    found: list[tuple[int, ...]] = [()]
    for row in fits:
        found = [
            (*lines, line)
            for lines in found
            for line, fit in enumerate(row)
            if fit and _may_follow(lines, line, blocks)
        ]
        if len(found) > MOST_ASSIGNMENTS:
            return None
    return tuple(found)


def _may_follow(lines: tuple[int, ...], line: int, blocks: Blocks) -> bool:
    return all(one < line if blocks[one] == blocks[line] else one != line for one in lines)

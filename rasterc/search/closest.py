"""When nothing printed what was read: what one misread character makes of it.

These are no answers, and are told as such. The likeliest misreadings come first: how often a
general reader takes the character printed for the one read, when drops are lost.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from itertools import islice
from pathlib import Path

from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.domain.atoms import lines_of
from rasterc.domain.templates import UNREAD, Template
from rasterc.fonts.library import FontBook
from rasterc.reading.general import GeneralReaders
from rasterc.search.fitting import Numbers, Reading
from rasterc.search.messages import Messages, Place
from rasterc.search.model import Hit, Misread, Unsure
from rasterc.search.searching import Search

MOST_CLOSE = 5
_MOST_AT_A_PLACE = 3  # messages looked at for each character that may be the misread one
_MOST_TRIED = 6  # characters tried for it
_SHORTEST_PART = 4  # of anything shorter nearly everything is one character away
_CHARACTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"


def closest(search: Search, unsure: Collection[Unsure]) -> tuple[Hit, ...]:
    """Some of the messages that could have printed the texts with one character misread, the
    likeliest misreading first. Those of which nothing can be said are left out."""
    search = structs.replace(search, left_out=frozenset((one.file, one.message) for one in unsure))
    risks = _Risks(search)
    found: list[tuple[float, Hit]] = []
    for number, read in enumerate(search.reads):
        if read is None or (search.parts and len(read) < _SHORTEST_PART):
            continue
        for at, place in enumerate(read):
            if place is not None:
                found += _closest_at(search, number, at, risks)
    found.sort(key=lambda pair: -pair[0])
    return tuple(hit for _, hit in found[:MOST_CLOSE])


def _closest_at(search: Search, number: int, at: int, risks: _Risks) -> Iterator[tuple[float, Hit]]:
    """Those with a certain character of a text misread, and how likely that is."""
    unread = _with_any(search, number, at)
    for place, ways in islice(unread.ways(), _MOST_AT_A_PLACE):
        for where in ways or ():
            if any(isinstance(one, Hit) for one in unread.traced(place, where, unread.texts)):
                yield from islice(_misread(search, number, at, risks, place, where), 1)


def _misread(
    search: Search, number: int, at: int, risks: _Risks, place: Place, where: tuple[int, ...]
) -> Iterator[tuple[float, Hit]]:
    """A message with each character that may have been misread there, the likeliest first."""
    text, line = search.texts[number], where[number]
    fitting = _fitting(search, number, at, place.message.lines[line])
    chances = {char: risks.chance(place, line, char, text[at]) for char in fitting}
    for char in sorted(fitting, key=lambda one: -chances[one])[:_MOST_TRIED]:
        texts = list(search.texts)
        texts[number] = text[:at] + char + text[at + 1 :]
        for one in search.traced(place, where, texts):
            if isinstance(one, Hit):
                misread = Misread(number, at, text[at], char, chances[char])
                yield chances[char], structs.replace(one, misread=misread)


def _fitting(search: Search, number: int, at: int, line: Sequence[Numbers]) -> list[str]:
    """The other characters that a line can print at a place of a text."""
    read, parts = search.reads[number], search.messages.index.parts
    assert read is not None
    others = (char for char in _CHARACTERS if char != search.texts[number][at])
    tried = ((char, _with(read, at, frozenset(char))) for char in others)
    return [char for char, one in tried if any(map(Reading(one, parts, search.parts).fits, line))]


def _with_any(search: Search, number: int, at: int) -> Search:
    """The same search with a character of a text unread."""
    reads, texts = list(search.reads), list(search.texts)
    read, text = reads[number], texts[number]
    assert read is not None
    reads[number] = _with(read, at, None)
    texts[number] = text[:at] + UNREAD + text[at + 1 :]
    return structs.replace(search, reads=tuple(reads), texts=tuple(texts))


def _with(read: Template, at: int, place: frozenset[str] | None) -> Template:
    return (*read[:at], place, *read[at + 1 :])


class _Risks:
    """How often characters are taken for one another, as the lines of messages print them."""

    def __init__(self, search: Search) -> None:
        self._messages: Messages = search.messages
        read = {char for one in search.reads for some in one or () for char in some or ()}
        self._alphabet = frozenset(read.union(_CHARACTERS))
        self._books: dict[str, FontBook] = {}
        self._readers = GeneralReaders()

    def chance(self, place: Place, line: int, printed: str, read: str) -> float:
        """How often a character of a line is taken for another; 0 where that cannot be told."""
        try:
            plan = self._messages.plan(place)
            shown = lines_of(plan)[line].line
            font = self._book(plan.message.folder).find(shown.font, shown.font_span)
            return self._readers.of(font, shown, self._alphabet).taken_for(printed, read)
        except (InputError, KeyError):
            return 0.0

    def _book(self, folder: str) -> FontBook:
        if folder not in self._books:
            self._books[folder] = FontBook(Path(folder))
        return self._books[folder]

"""From a code read off a pack to the messages of a plant that could have printed it.

Every message is held against the texts by what its lines can print at all (`fitting`), which never
leaves out one that could have printed them; those that are left are traced exactly.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime

from msgspec import structs

from rasterc.diagnostics import InputError
from rasterc.domain.progress import Progress, quiet
from rasterc.domain.templates import UNREAD
from rasterc.plant import Plant
from rasterc.search.closest import closest
from rasterc.search.messages import Messages
from rasterc.search.model import FindResult, Hit, Unsure, Window
from rasterc.search.searching import Search, read_as
from rasterc.source.quoting import composed
from rasterc.tracing.trace import UNREAD_LINE
from rasterc.values.dates.offsets import FIRST_YEAR, LAST_YEAR

YEARS_BACK, YEARS_AHEAD = 5, 5
MAX_YEARS = 100
_MOST_TEXTS = 64
_MOST_CHARACTERS = 1000


class Finder:
    """Finds codes in a plant, whose messages are read once; see `find`."""

    def __init__(self, plant: Plant, on: Collection[str] = (), progress: Progress = quiet) -> None:
        self._messages = Messages(plant, on, progress)

    def find(
        self,
        texts: Sequence[str],
        now: datetime,
        window: Window | None = None,
        parts: bool | None = None,
    ) -> FindResult:
        """What could have printed some texts."""
        lines = _texts(texts)
        reads = tuple(map(read_as, lines))
        span = _checked(window or window_around(now))
        ways = (False, True) if parts is None else (parts,)
        searches = [Search(self._messages, reads, lines, span, part) for part in ways]
        unsure = dict.fromkeys(self._messages.unreadable())
        for search in searches:
            hits, doubts = _sorted_out(search, now)
            unsure |= dict.fromkeys(doubts)
            if hits:
                return self._result(search, hits, unsure)
        near = next(filter(None, (closest(search, unsure) for search in searches)), ())
        return structs.replace(self._result(searches[-1], (), unsure), closest=near)

    def _result(
        self, search: Search, hits: Sequence[Hit], unsure: Collection[Unsure]
    ) -> FindResult:
        looked_at = len(self._messages.places)
        return FindResult(
            search.texts, search.parts, tuple(hits), tuple(unsure), looked_at, search.window
        )


def _sorted_out(search: Search, now: datetime) -> tuple[list[Hit], list[Unsure]]:
    """What was found, the likeliest first, and of what cannot be said."""
    results = list(search.results())
    hits = [one for one in results if isinstance(one, Hit)]
    hits.sort(key=lambda hit: (hit.rank(now), str(hit.file), hit.message))
    return hits, [one for one in results if isinstance(one, Unsure)]


def find(
    plant: Plant,
    texts: Sequence[str],
    now: datetime,
    window: Window | None = None,
    *,
    on: Collection[str] = (),
    parts: bool | None = None,
    progress: Progress = quiet,
) -> FindResult:
    """What could have printed a code that was read off a pack.

    Args:
        plant: the plant whose messages are looked at.
        texts: lines of the code as read, those of one block from top to bottom. `?` is a character
            that could not be read; lines of which nothing was read may be left out.
        now: the moment of asking, with an offset: the nearest prints up to it come first.
        window: the time that is searched; five years back and five ahead when not given.
        on: names of lines of the plant; messages that run on none of them are left out.
        parts: whether the texts are parts of lines, with more before and after them; None: only
            when there are no lines that are just the texts.
        progress: told what is done when that takes long.

    Raises:
        InputError: nothing was read, there is no such line, or the window cannot be searched.
    """
    return Finder(plant, on, progress).find(texts, now, window, parts)


def window_around(now: datetime) -> Window:
    """The years that are searched when nothing else is said."""
    return datetime(now.year - YEARS_BACK, 1, 1), datetime(now.year + YEARS_AHEAD, 1, 1)


def _texts(texts: Sequence[str]) -> tuple[str, ...]:
    lines = tuple(composed(text.rstrip("\r")) for one in texts for text in one.split("\n"))
    if not any(set(line) - {UNREAD} for line in lines if line != UNREAD_LINE):
        said = "no character was read"
        raise InputError.one("nothing-read", said, help="give some of what is printed")
    if len(lines) > _MOST_TEXTS or max(map(len, lines)) > _MOST_CHARACTERS:
        said = f"a code has at most {_MOST_TEXTS} lines of {_MOST_CHARACTERS:,} characters"
        raise InputError.one("too-large", said, help="give the lines of one code")
    return lines


def _checked(window: Window) -> Window:
    """The window; raises `InputError` when it cannot be searched."""
    aware = all(moment.tzinfo is not None for moment in window)
    first, end = window if aware else (moment.replace(tzinfo=None) for moment in window)
    if first >= end:
        said = "the time to search ends before it begins"
        raise InputError.one("bad-horizon", said, help="give the earlier moment first")
    if first.year < FIRST_YEAR or end.year > LAST_YEAR or end.year - first.year > MAX_YEARS:
        said = f"from {first:%Y-%m-%d} to {end:%Y-%m-%d} cannot be searched"
        help = f"at most {MAX_YEARS} years within {FIRST_YEAR} to {LAST_YEAR}"
        raise InputError.one("bad-horizon", said, help=help)
    return window

"""One search through the messages of a plant: those that can print the texts at all are traced."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC
from pathlib import Path

from msgspec import Struct

from rasterc.diagnostics import InputError
from rasterc.domain.horizon import home_zone
from rasterc.domain.templates import Template, template_of
from rasterc.search.fitting import MOST_ASSIGNMENTS, Reading, assignments
from rasterc.search.messages import Messages, Place
from rasterc.search.model import Hit, Unsure, Window
from rasterc.tracing.trace import UNREAD_LINE, trace_between
from rasterc.values import Plan
from rasterc.values.dates.offsets import minute_of

Ways = tuple[tuple[int, ...], ...]
"""The lines of a message that texts can be: a line for each text."""


class Search(Struct, frozen=True):
    """One search.

    Attributes:
        messages: where.
        reads: what the texts tell; None for a line of which nothing was read.
        texts: the texts.
        window: when it may have been printed.
        parts: whether the texts are parts of lines.
        left_out: files and names of messages that are not looked at.
    """

    messages: Messages
    reads: tuple[Template | None, ...]
    texts: tuple[str, ...]
    window: Window
    parts: bool
    left_out: frozenset[tuple[Path, str | None]] = frozenset()

    def results(self) -> Iterator[Hit | Unsure]:
        """The messages that could have printed the texts, and those of which cannot be said."""
        for place, ways in self.ways():
            if ways is None:
                why = f"the texts can be its lines in over {MOST_ASSIGNMENTS:,} ways"
                yield Unsure(place.file, place.message.name, place.on, why)
                continue
            self.messages.progress(f"{place.message.name} is traced")
            for where in ways:
                yield from self.traced(place, where, self.texts)

    def ways(self) -> Iterator[tuple[Place, Ways | None]]:
        """The messages that can print it at all, and how; None for the ways when these are too
        many."""
        parts = self.messages.index.parts
        readings = [Reading(read, parts, self.parts) for read in self.reads]
        for place in self.messages.places:
            if (place.file, place.message.name) in self.left_out:
                continue
            lines = place.message.lines
            fits = [[any(map(reading.fits, line)) for line in lines] for reading in readings]
            ways = assignments(fits, place.message.blocks) if all(map(any, fits)) else ()
            if ways is None or ways:
                yield place, ways

    def traced(
        self, place: Place, where: tuple[int, ...], texts: Sequence[str]
    ) -> Iterator[Hit | Unsure]:
        """A message traced, with each text as one of its lines."""
        lines = [UNREAD_LINE] * len(place.message.lines)
        for text, line in zip(texts, where, strict=True):
            lines[line] = text
        try:
            plan = self.messages.plan(place)
            first, end = _minutes(self.window, plan)
            result = trace_between(
                plan, lines, first, end, self.messages.progress, parts=self.parts, explain=False
            )
        except InputError as error:
            why = error.diagnostics[0].message
            yield Unsure(place.file, place.message.name, place.on, why)
            return
        if result.groups:
            counters = plan.message.counters
            yield Hit(place.file, place.message.name, place.on, where, result, counters)


def read_as(text: str) -> Template | None:
    """What a text tells, None for a line of which nothing was read."""
    return None if text == UNREAD_LINE else template_of(text)


def _minutes(window: Window, plan: Plan) -> tuple[int, int]:
    """A window in minutes of UTC for a message; of one that reads no clock one minute."""
    if not plan.clocks_read():
        return 0, 1
    zone = home_zone(plan)
    first, end = (m if m.tzinfo else m.replace(tzinfo=zone) for m in window)
    begin = minute_of(first.astimezone(UTC))
    return begin, max(begin + 1, minute_of(end.astimezone(UTC)))

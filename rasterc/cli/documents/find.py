"""The document of `rasterc find`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, Moment, Part
from rasterc.cli.documents.trace import MatchPart


class MisreadPart(Part, frozen=True, kw_only=True):
    """A character that may have been misread."""

    text: Annotated[int, Meta(description="Which of the texts, from 0.")]
    place: Annotated[int, Meta(description="Which of its characters, from 0.")]
    read: str
    printed: str
    chance: Annotated[
        float,
        Meta(description="How often it is read so when 2 % of the drops are lost; 0: hardly ever."),
    ]


class FoundPart(Part, frozen=True, kw_only=True):
    """A message that could have printed the texts."""

    message: str
    file: str
    on: Annotated[list[str], Meta(description="The lines of the plant that it runs on.")]
    lines: Annotated[list[int], Meta(description="For each text the line of the code, from 0.")]
    zone: str | None
    count: Annotated[int, Meta(description="Stretches of time in all.")]
    minutes: int
    combinations: Annotated[
        int | None,
        Meta(description="Pairs of a minute and values of the counters read; null for very many."),
    ]
    combinations_said: Annotated[str, Meta(description="The same in words.")]
    verified: Annotated[bool, Meta(description="Whether check characters were worked out.")]
    matches: Annotated[
        list[MatchPart], Meta(description="Nearest to now first; of very many the nearest.")
    ]
    misread: Annotated[
        MisreadPart | None, Meta(description="What must be misread, of those that are no answer.")
    ]


class UnsurePart(Part, frozen=True, kw_only=True):
    """A message, or a whole file, of which it cannot be said."""

    message: str | None
    file: str
    on: list[str]
    why: str


class FindDocument(
    Document, frozen=True, kw_only=True, tag="rasterc/find/1", rename={"from_": "from"}
):
    """Which messages of a plant could have printed a code."""

    plant: str
    texts: list[str]
    parts: Annotated[bool, Meta(description="Whether the texts were taken as parts of lines.")]
    messages: Annotated[int, Meta(description="How many messages were looked at.")]
    from_: Moment
    until: Annotated[Moment, Meta(description="Not included.")]
    found: Annotated[list[FoundPart], Meta(description="The likeliest first.")]
    unsure: list[UnsurePart]
    closest: Annotated[
        list[FoundPart],
        Meta(description="When nothing was found: one character must be misread. No answers."),
    ]

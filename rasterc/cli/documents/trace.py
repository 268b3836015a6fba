"""The document of `rasterc trace`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, Moment, Part


class StepsPart(Part, frozen=True, kw_only=True):
    """Values of a counter: first, last and all in steps between them."""

    first: int
    last: int
    step: int


class MatchPart(Part, frozen=True, kw_only=True, rename={"from_": "from"}):
    """A stretch of time in which the lines can have been printed, and the values they need."""

    from_: Moment | None
    until: Annotated[Moment | None, Meta(description="Not included.")]
    counters: dict[str, list[StepsPart]]
    inputs: dict[str, list[str]]


class NoMatchPart(Part, frozen=True, kw_only=True):
    """Why nothing can have printed the lines."""

    message: str
    line: Annotated[int, Meta(description="From 0; -1 for no line.")]
    place: Annotated[int, Meta(description="From 0; -1 for no place.")]


class TraceDocument(
    Document, frozen=True, kw_only=True, tag="rasterc/trace/1", rename={"from_": "from"}
):
    """All that can have printed the lines."""

    message: str
    lines: list[str]
    zone: str | None
    from_: Moment | None
    until: Moment | None
    count: Annotated[int, Meta(description="Matches in all; of very many the first are listed.")]
    minutes: int
    verified: Annotated[bool, Meta(description="Whether check characters were worked out.")]
    matches: list[MatchPart]
    failure: NoMatchPart | None

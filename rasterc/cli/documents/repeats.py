"""The document of `rasterc repeats`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, Moment, Part
from rasterc.cli.documents.extremes import WitnessPart
from rasterc.extremes.model_repeats import Verdict


class RoundPart(Part, frozen=True, kw_only=True):
    """A counter that prints the same again after so many prints, and why."""

    counter: str
    prints: int
    why: str
    exact: Annotated[bool, Meta(description="Whether it does; else it does not sooner.")]


class RepeatsPart(Part, frozen=True, kw_only=True, rename={"from_": "from"}):
    """How soon the code of a message, or some of its fields, can print again."""

    message: str
    fields: Annotated[list[str], Meta(description="Empty for the whole code.")]
    from_: Moment
    until: Moment
    gap_seconds: Annotated[
        float | None, Meta(description="Last print to next print; null when there is none.")
    ]
    no_sooner_seconds: Annotated[
        float | None, Meta(description="Without an exact answer, none prints again before.")
    ]
    first: WitnessPart | None
    last: WitnessPart | None
    again: WitnessPart | None
    never: Annotated[str, Meta(description="Why it never prints again; else empty.")]
    exact: bool
    why: Annotated[str, Meta(description="Why it may be sooner.")]
    rounds: list[RoundPart]
    always: Annotated[bool, Meta(description="Whether one text prints at all times.")]
    shelf_life: str | None
    verdict: Annotated[
        Verdict | None, Meta(description="Whether it repeats within the shelf life.")
    ]


class RepeatsDocument(Document, frozen=True, kw_only=True, tag="rasterc/repeats/1"):
    """How soon every message of the file can print again."""

    messages: list[RepeatsPart]

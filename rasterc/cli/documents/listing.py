"""The document of `rasterc list`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import DiagnosticPart, Document, Moment, Part
from rasterc.search.days import Kind
from rasterc.search.states import Checked, State


class DayPart(Part, frozen=True, kw_only=True):
    """A day ahead."""

    day: Annotated[str, Meta(description="ISO 8601, where the message is printed.")]
    kind: Kind
    said: str


class ListedPart(Part, frozen=True, kw_only=True):
    """A message on a line."""

    message: Annotated[str, Meta(description="Its name; empty when its file cannot be read.")]
    file: str
    line: Annotated[str | None, Meta(description="The name of its line.")]
    raster: Annotated[int | None, Meta(description="Drops high.")]
    strokes: int | None
    length_mm: Annotated[float | None, Meta(description="On the product, on a line.")]
    at: Annotated[Moment | None, Meta(description="What it prints then; null without a clock.")]
    lines: Annotated[list[str], Meta(description="The texts of its lines then.")]
    made_up: Annotated[list[str], Meta(description="Inputs that were given a text to show it.")]
    state: State
    checked: Annotated[Checked | None, Meta(description="How far the check went that tells it.")]
    found: Annotated[str | None, Meta(description="The worst that a check found and that fails.")]
    next_day: Annotated[DayPart | None, Meta(description="The day ahead that matters most.")]
    days: Annotated[list[DayPart], Meta(description="The days ahead, in order.")]
    cannot_say: Annotated[list[str], Meta(description="What of it could not be looked at.")]
    faults: Annotated[list[DiagnosticPart], Meta(description="Why it cannot be printed.")]


class ListDocument(Document, frozen=True, kw_only=True, tag="rasterc/list/1"):
    """The messages of a plant, each on each line that it runs on."""

    plant: str
    folder: str
    horizon_years: Annotated[int, Meta(description="How many years were looked ahead.")]
    messages: list[ListedPart]

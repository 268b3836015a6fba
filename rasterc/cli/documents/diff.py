"""The document of `rasterc diff`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import DiagnosticPart, Document, Moment, Part


class ValuesPart(Part, frozen=True, kw_only=True):
    """The values a version was compared at."""

    counters: dict[str, int]
    inputs: dict[str, str]


class StretchPart(Part, frozen=True, kw_only=True, rename={"from_": "from"}):
    """A stretch of time, its end not included."""

    from_: Moment
    until: Moment


class DifferencePart(Part, frozen=True, kw_only=True):
    """What both versions print at the first difference."""

    at: Moment | None
    old: list[str | None]
    new: list[str | None]
    faults: list[DiagnosticPart]


class LongestPart(Part, frozen=True, kw_only=True):
    """The largest change in length."""

    change: int
    at: Moment | None
    line: Annotated[int | None, Meta(description="From 0; null for the whole message.")]


class LengthsPart(Part, frozen=True, kw_only=True):
    """The largest changes in length."""

    characters: LongestPart
    strokes: LongestPart | None


class DeclaredPart(Part, frozen=True, kw_only=True):
    """Something that is written differently in the message."""

    change: str
    what: str
    old: str
    new: str


class RowPart(Part, frozen=True, kw_only=True):
    """A row of a product table that differs: the cells that do, or all that are printed by."""

    table: str
    key: str
    old: dict[str, str] | None
    new: dict[str, str] | None


class ComparedPart(Part, frozen=True, kw_only=True, rename={"from_": "from"}):
    """Two versions of a message."""

    old: str
    new: str
    same: bool
    same_look: bool
    other_values: list[str]
    exact: bool
    zone: str | None
    from_: Moment | None
    until: Moment | None
    old_values: ValuesPart
    new_values: ValuesPart
    minutes: int
    days: int
    line_minutes: list[int]
    count: Annotated[int, Meta(description="Stretches in all; of very many the first are listed.")]
    differences: list[StretchPart]
    first: DifferencePart | None
    longest_change: LengthsPart
    declared: list[DeclaredPart]
    rows: list[RowPart]
    row_count: Annotated[int, Meta(description="Changed rows in all; the first are listed.")]


class DiffDocument(Document, frozen=True, kw_only=True, tag="rasterc/diff/1"):
    """What the messages of two files print differently."""

    same: bool
    messages: list[ComparedPart]
    removed: list[str]
    added: list[str]

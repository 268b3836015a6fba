"""The document of `rasterc batch`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, Part


class RowFaultPart(Part, frozen=True, kw_only=True):
    """One thing wrong with a row, which was not printed."""

    row: Annotated[int, Meta(description="Of the job, from 1.")]
    line: Annotated[int, Meta(description="Of the file of rows, from 1; 0 for none.")]
    code: Annotated[str, Meta(description="What kind of thing it is.")]
    message: str
    help: Annotated[str, Meta(description="What to do about it; may be empty.")]
    place: Annotated[str, Meta(description="Where in the message: file:line:column; may be empty.")]


class RepeatPart(Part, frozen=True, kw_only=True):
    """Two rows that print the same."""

    first: int
    of: Annotated[str, Meta(description="The earlier batch that row `first` is of; may be empty.")]
    again: int
    lines: list[str]


class StopPart(Part, frozen=True, kw_only=True):
    """The first row that is not printed: its counter has ended."""

    row: int
    counter: str


class HeldPart(Part, frozen=True, kw_only=True):
    """Numbers of some rows, issued by a ledger."""

    counter: str
    series: Annotated[str, Meta(description="Where its prints are counted.")]
    request: Annotated[str, Meta(description="What the reservation is known by.")]
    row: Annotated[int, Meta(description="The first of the rows, from 1.")]
    count: int
    first: Annotated[int, Meta(description="The first print, counted from 0 in its series.")]
    first_text: Annotated[str, Meta(description="In the counter's digits, no leading zeros.")]
    last_text: str


class BatchDocument(Document, frozen=True, kw_only=True, tag="rasterc/batch/1"):
    """What came of a batch; files are null where nothing was written."""

    message: str
    rows: Annotated[int, Meta(description="Rows that can be printed.")]
    refused: Annotated[int, Meta(description="Rows that cannot.")]
    faults: Annotated[list[RowFaultPart], Meta(description="Why, of the first of them.")]
    stop: StopPart | None
    unique: Annotated[str, Meta(description="proved, compared, or not looked for.")]
    why_unique: Annotated[str, Meta(description="Why no code can repeat, when that is proved.")]
    repeats: Annotated[list[RepeatPart], Meta(description="The first codes that repeat.")]
    one_by_one: Annotated[int, Meta(description="Rows that were resolved by themselves.")]
    ledger: Annotated[list[HeldPart], Meta(description="Empty without --ledger.")]
    resumed: Annotated[int, Meta(description="Parts that were there from an earlier run.")]
    file: str | None
    manifest: str | None

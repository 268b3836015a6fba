"""The documents of `rasterc ledger`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, Moment, Part

Prints = Annotated[int, Meta(description="A print, counted from 0 in its series.")]


class SeriesPart(Part, frozen=True, kw_only=True):
    """Where prints are counted."""

    counter: str
    part: Annotated[str, Meta(description="The inputs it belongs to; may be empty.")]
    epoch: Annotated[str, Meta(description="The stretch since its restart; may be empty.")]


class PrintsPart(Part, frozen=True, kw_only=True):
    """Prints one after another, and the numbers they carry."""

    first: Prints
    last: Prints
    count: int
    first_number: int
    last_number: int
    first_text: Annotated[str, Meta(description="In the counter's digits, no leading zeros.")]
    last_text: str


class ReservedPart(Part, frozen=True, kw_only=True):
    """A reservation, and what became of it."""

    request: str
    job: str
    at: Moment
    seq: Annotated[int, Meta(description="The ledger's entry.")]
    prints: PrintsPart
    printed: Annotated[int, Meta(description="Confirmed, from the first print on.")]
    void: int
    open: Annotated[int, Meta(description="Prints of which nobody has said anything yet.")]
    because: Annotated[str, Meta(description="Why they are void; else empty.")]


class HeadPart(Part, frozen=True, kw_only=True):
    """The last entry of a ledger."""

    id: Annotated[str, Meta(description="The ledger's own.")]
    seq: int
    hash: str


class SkippedPart(Part, frozen=True, kw_only=True):
    """Prints that were passed over."""

    prints: PrintsPart
    reason: str
    at: Moment


class StandingPart(Part, frozen=True, kw_only=True):
    """A series, and what became of its prints."""

    series: SeriesPart
    issued: Annotated[int, Meta(description="Prints that nobody gets any more.")]
    printed: int
    void: int
    open: int
    skipped: list[SkippedPart]
    reserved: list[ReservedPart]


class LedgerFaultPart(Part, frozen=True, kw_only=True):
    """What is wrong with a ledger; its entry is null where it is of no one entry."""

    seq: int | None
    message: str


class LedgerInitDocument(Document, frozen=True, kw_only=True, tag="rasterc/ledger-init/1"):
    """A new ledger."""

    where: str
    head: HeadPart
    witness: str | None


class LedgerReserveDocument(Document, frozen=True, kw_only=True, tag="rasterc/ledger-reserve/1"):
    """Prints that were reserved; ``head`` is the ledger's."""

    series: SeriesPart
    reserved: ReservedPart
    left: Annotated[int | None, Meta(description="Prints left; null without an end.")]
    head: HeadPart


class LedgerConfirmDocument(Document, frozen=True, kw_only=True, tag="rasterc/ledger-confirm/1"):
    """A reservation after prints of it were confirmed."""

    series: SeriesPart
    reserved: ReservedPart
    head: HeadPart


class LedgerVoidDocument(Document, frozen=True, kw_only=True, tag="rasterc/ledger-void/1"):
    """A reservation after the rest of it was declared void."""

    series: SeriesPart
    reserved: ReservedPart
    head: HeadPart


class LedgerListDocument(Document, frozen=True, kw_only=True, tag="rasterc/ledger-list/1"):
    """What was issued."""

    where: str
    head: HeadPart
    series: list[StandingPart]


class LedgerVerifyDocument(Document, frozen=True, kw_only=True, tag="rasterc/ledger-verify/1"):
    """Whether a ledger is whole."""

    where: str
    head: HeadPart
    faults: list[LedgerFaultPart]


class LedgerExportDocument(Document, frozen=True, kw_only=True, tag="rasterc/ledger-export/1"):
    """Every entry, written to a file."""

    file: str
    entries: int


class LedgerBackupDocument(Document, frozen=True, kw_only=True, tag="rasterc/ledger-backup/1"):
    """The ledger, written to a file."""

    file: str
    head: HeadPart


class AdvancedPart(Part, frozen=True, kw_only=True):
    """A series that was advanced; without prints where nothing had to be passed over."""

    series: SeriesPart
    passed_over: PrintsPart | None


class LedgerAdvanceDocument(Document, frozen=True, kw_only=True, tag="rasterc/ledger-advance/1"):
    """A ledger that a person has advanced."""

    where: str
    advanced: list[AdvancedPart]
    head: HeadPart

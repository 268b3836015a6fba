"""The document of `rasterc extremes`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import DiagnosticPart, Document, InstantPart, Moment, Part


class WitnessPart(InstantPart, frozen=True, kw_only=True):
    """Values that show something, and the lines they print."""

    said: Annotated[str, Meta(description="The values in words.")]
    lines: list[str]


class ConvertedPart(Part, frozen=True, kw_only=True):
    """A value in another unit."""

    value: float
    unit: str


class ConfusionPart(Part, frozen=True, kw_only=True):
    """A character that is taken for another, and the chance summed over its places."""

    printed: str
    read_as: str
    chance: float


class GeneralPart(Part, frozen=True, kw_only=True):
    """How likely a general reader misreads the print, and its likeliest pairs."""

    low: float
    high: float
    pairs: list[ConfusionPart]


class ExtremePart(Part, frozen=True, kw_only=True):
    """The worst that one measure comes to."""

    measure: str
    title: str
    value: int | float
    unit: str
    converted: ConvertedPart | None
    exact: Annotated[bool, Meta(description="Whether it is reached; else it is a bound.")]
    why: Annotated[str, Meta(description="Why it is only a bound.")]
    at_witness: Annotated[
        int | float | None, Meta(description="What the witness comes to, under a bound.")
    ]
    first_stroke: Annotated[int | None, Meta(description="Where a window begins, from 0.")]
    low: Annotated[
        int | float | None, Meta(description="Lower end of a risk, with ties read right.")
    ]
    general: Annotated[
        GeneralPart | None,
        Meta(description="Of a misread risk: what a general reader makes of the witness."),
    ]
    witness: WitnessPart


class DatesPart(Part, frozen=True, kw_only=True):
    """The first and the last date that a field prints."""

    field: str
    first: str
    last: str
    first_witness: WitnessPart
    last_witness: WitnessPart


class EdgePart(WitnessPart, frozen=True, kw_only=True):
    """An instant worth a look."""

    edge: str


class FaultPart(DiagnosticPart, frozen=True, kw_only=True):
    """Values that cannot be printed, and why."""

    said: Annotated[str, Meta(description="The values in words.")]
    instant: InstantPart


class ExtremesPart(Part, frozen=True, kw_only=True, rename={"from_": "from"}):
    """What one message can come to."""

    message: str
    from_: Moment
    until: Moment
    strings: Annotated[
        int | None, Meta(description="Distinct codes that were covered; null for very many.")
    ]
    strings_log10: Annotated[float | None, Meta(description="Their number, as a power of ten.")]
    strings_exact: bool
    extremes: list[ExtremePart]
    dates: list[DatesPart]
    edges: list[EdgePart]
    faults: list[FaultPart]
    notes: list[str]


class ExtremesDocument(Document, frozen=True, kw_only=True, tag="rasterc/extremes/1"):
    """The worst that every message of the file can come to."""

    messages: list[ExtremesPart]

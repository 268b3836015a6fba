"""The document of `rasterc check`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, FindingPart, Moment, Part


class TimingPart(Part, frozen=True, kw_only=True):
    """What happens at one line speed."""

    speed_m_s: float
    stroke_rate_hz: float
    rate_limit_hz: float
    stroke_pitch_mm: float
    length_mm: float
    slant_mm: float
    message_ms: float
    product_ms: float | None


class SilencedPart(FindingPart, frozen=True, kw_only=True):
    """A finding that is known and accepted, and its reason."""

    because: str
    by: Annotated[str, Meta(description="Who accepts it: message or plant.")]


class CoveredPart(Part, frozen=True, kw_only=True):
    """A rule, or one limit of `require`, and how far the verdict on it reaches."""

    rule: str
    limit: Annotated[str | None, Meta(description="The limit, of `require`.")]
    how: Annotated[
        str, Meta(description="proved over every value, looked-at in prints, or not-checked.")
    ]


class CoveragePart(Part, frozen=True, kw_only=True):
    """What the verdicts cover."""

    prints: Annotated[int, Meta(description="Prints looked at; 1 for a check of one instant.")]
    strings: Annotated[int | None, Meta(description="Distinct strings covered, if known.")]
    strings_said: Annotated[str | None, Meta(description="The same in words.")]
    rules: list[CoveredPart]


class CheckedPart(Part, frozen=True, kw_only=True):
    """A message, its print at the first instant, and what was found."""

    message: str
    file: str
    line: Annotated[str | None, Meta(description="The line of the plant.")]
    at: Moment | None
    instants: int
    lines: list[str]
    profile: str | None
    timing: list[TimingPart]
    findings: list[FindingPart]
    coverage: CoveragePart
    silenced: list[SilencedPart]


class BrokenPart(Part, frozen=True, kw_only=True):
    """A message, or a whole file, that cannot be checked; diagnostics say why."""

    message: Annotated[str | None, Meta(description="Null for a whole file.")]
    file: str
    line: Annotated[str | None, Meta(description="The line of the plant.")]


class LinePart(Part, frozen=True, kw_only=True):
    """How much was found on a line of the plant, shown or not."""

    line: str
    messages: int
    errors: int
    warnings: int
    notes: int
    clean: Annotated[int, Meta(description="Messages in which nothing was found.")]
    broken: Annotated[int, Meta(description="Messages, or whole files, that cannot be checked.")]


class SummaryPart(Part, frozen=True, kw_only=True):
    """How much was found, shown or not. A message counts once for each line that it runs on."""

    messages: int
    errors: int
    warnings: int
    notes: int
    clean: Annotated[int, Meta(description="Messages in which nothing was found.")]
    broken: Annotated[int, Meta(description="Messages, or whole files, that cannot be checked.")]
    failed: Annotated[bool, Meta(description="Whether the exit code is not 0.")]


class CheckDocument(Document, frozen=True, kw_only=True, tag="rasterc/check/1"):
    """Every message that could be checked; diagnostics say why others could not."""

    messages: list[CheckedPart]
    broken: list[BrokenPart]
    lines: Annotated[list[LinePart], Meta(description="Of a plant; else empty.")]
    summary: SummaryPart

"""What the documents of all commands share."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta, Struct

from rasterc.diagnostics import Severity

Moment = Annotated[str, Meta(description="ISO 8601, with the offset where there is one.")]


class Part(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An object inside a document. All its keys are always there."""


class InstantPart(Part, frozen=True, kw_only=True):
    """The values that are printed; no time where no clock is read."""

    at: Moment | None
    counters: dict[str, int]
    inputs: dict[str, str]


class DiagnosticPart(Part, frozen=True, kw_only=True):
    """One thing that is said; its place is null where it has none."""

    severity: Severity
    code: Annotated[str, Meta(description="What kind of thing it is; of a finding, its rule.")]
    message: str
    help: Annotated[str, Meta(description="What to do about it; may be empty.")]
    file: str | None
    line: Annotated[int | None, Meta(description="From 1.")]
    column: Annotated[int | None, Meta(description="From 1, in characters.")]
    text: Annotated[str | None, Meta(description="The characters at that place.")]


class FindingPart(DiagnosticPart, frozen=True, kw_only=True):
    """What a rule found, with its figures and its instant."""

    at: Annotated[str | None, Meta(description="The instant it was found at.")]
    times: Annotated[int, Meta(description="At how many of the instants it was found.")]
    strokes: Annotated[
        tuple[int, int] | None, Meta(description="The first stroke, and the one after the last.")
    ]
    measured: float | None
    limit: float | None
    unit: str


class Document(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="schema"):
    """A whole document."""

    diagnostics: list[DiagnosticPart]


class Refusal(Document, frozen=True, kw_only=True, tag="rasterc/diagnostics/1"):
    """What a command prints when it cannot do what was asked: bad input, or a fault of ours."""

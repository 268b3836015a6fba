"""The documents of `rasterc explain`."""

from __future__ import annotations

from typing import Any

from rasterc.cli.documents.common import Document, Part
from rasterc.diagnostics import Severity


class RulePart(Part, frozen=True, kw_only=True):
    """A rule, with a message that trips it and its repaired twin."""

    rule: str
    title: str
    family: str
    rules: str
    severity: Severity
    can_be_silenced: bool
    rationale: str
    source: str
    trips: str
    passes: str


class ExplainDocument(Document, frozen=True, kw_only=True, tag="rasterc/explain/1"):
    """The rule asked for, or all of them."""

    rules: list[RulePart]


class ProfileDocument(Document, frozen=True, kw_only=True, tag="rasterc/explain-profile/1"):
    """The JSON Schema of a line profile; bare from `rasterc explain json profile`."""

    profile: dict[str, Any]


class PlantDocument(Document, frozen=True, kw_only=True, tag="rasterc/explain-plant/1"):
    """The JSON Schema of a plant file; bare from `rasterc explain json plant`."""

    plant: dict[str, Any]


class SchemasDocument(Document, frozen=True, kw_only=True, tag="rasterc/explain-json/1"):
    """The JSON Schemas asked for, by what they describe."""

    documents: dict[str, Any]

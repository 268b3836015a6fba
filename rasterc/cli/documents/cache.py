"""The document of `rasterc cache`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, Part


class KeptPart(Part, frozen=True, kw_only=True):
    """Entries of one kind."""

    what: str
    entries: int
    bytes: int


class CacheDocument(Document, frozen=True, kw_only=True, tag="rasterc/cache/1"):
    """What is kept of earlier runs."""

    folder: Annotated[str | None, Meta(description="None when nothing is kept.")]
    most_bytes: int
    kept: list[KeptPart]
    deleted: Annotated[int, Meta(description="Files deleted, with --clear.")]

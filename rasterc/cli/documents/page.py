"""The document of `rasterc page`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document


class PageDocument(Document, frozen=True, kw_only=True, tag="rasterc/page/1"):
    """Where a plant is served, printed as soon as it is."""

    name: Annotated[str, Meta(description="The name of the plant.")]
    address: Annotated[str, Meta(description="The page, with the token that opens it.")]

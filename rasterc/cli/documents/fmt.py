"""The document of `rasterc fmt`."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, Part


class FormattedPart(Part, frozen=True, kw_only=True):
    """A file, and whether it changes."""

    file: str
    changed: bool
    text: Annotated[str | None, Meta(description="The text in form; of standard input only.")]
    difference: Annotated[
        list[str] | None, Meta(description="With --diff, the lines of a unified diff.")
    ]


class FmtDocument(Document, frozen=True, kw_only=True, tag="rasterc/fmt/1"):
    """The files in canonical form."""

    files: list[FormattedPart]
    written: Annotated[bool, Meta(description="Whether changed files were written.")]

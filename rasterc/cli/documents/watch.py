"""The documents of `rasterc watch`: one for each look."""

from __future__ import annotations

from typing import Annotated

from msgspec import Meta

from rasterc.cli.documents.common import Document, Moment


class WatchDocument(Document, frozen=True, kw_only=True, tag="rasterc/watch/1"):
    """One look; another follows whenever a file changes."""

    round: Annotated[int, Meta(description="From 1.")]
    at: Annotated[Moment, Meta(description="When it was looked at.")]
    changed: Annotated[list[str], Meta(description="The paths that have changed.")]
    watched: Annotated[int, Meta(description="How many files are watched.")]
    exit_code: Annotated[int, Meta(description="The worst of the commands that were run.")]
    lines: Annotated[list[str], Meta(description="What they said.")]

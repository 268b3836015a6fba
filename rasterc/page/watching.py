"""Files of the plant that change on the disk."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path

_SUFFIXES = {".rasterc", ".bdf", ".pcf", ".gz", ".ttf", ".otf", ".png", ".pbm", ".csv", ".toml"}


async def changes(folder: Path, stop: asyncio.Event) -> AsyncIterator[set[Path]]:
    """The files below a folder that changed, were made or went, some at a time, until ``stop``."""
    from watchfiles import awatch

    async for found in awatch(folder, stop_event=stop, debounce=120, step=40, rust_timeout=400):
        paths = {Path(path) for _, path in found}
        meant = {path for path in paths if path.suffix.lower() in _SUFFIXES and _is_plain(path)}
        if meant:
            yield meant


def _is_plain(path: Path) -> bool:
    """Whether it is no copy of ours that is being written."""
    return not path.name.startswith(".rasterc-")

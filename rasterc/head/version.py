"""Which version of the model flies: what was flown or compiled by another is of no use."""

from __future__ import annotations

from functools import lru_cache
from hashlib import sha256
from importlib.resources import files

import rasterc


@lru_cache(maxsize=1)
def model_version() -> str:
    """A digest of the release and of every source file of this room, in hexadecimal."""
    digest = sha256(rasterc.__version__.encode())
    for source in sorted(files("rasterc.head").iterdir(), key=lambda one: one.name):
        if source.name.endswith(".py"):
            digest.update(source.read_bytes())
    return digest.hexdigest()

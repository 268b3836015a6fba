"""What verdicts depend on beside the user's files: this program, and packages it works with."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

import rasterc
from rasterc.resources import resource_dir

PACKAGES = ("freetype_py", "lark", "msgspec", "numba", "numpy", "pillow", "tzdata")
"""What could change a verdict in another release, by the names of their folders."""


@lru_cache(maxsize=1)
def release() -> str:
    """A digest of the release, of every file it consists of, and of the releases beside it."""
    digest = sha256(f"{rasterc.__version__} {sys.version}".encode())
    for path in (*_own_files(), resource_dir("grammar") / "message.lark"):
        digest.update(path.name.encode() + path.read_bytes())
    for name in _installed():
        digest.update(name.encode())
    return digest.hexdigest()


def _own_files() -> Iterator[Path]:
    """Files of the package in order; what a message can use of them is noted when it is read."""
    for where, folders, names in os.walk(Path(rasterc.__file__).parent):
        folders[:] = sorted(set(folders) - {"__pycache__", "data"})
        yield from (Path(where, name) for name in sorted(names))


def _installed() -> list[str]:
    """Name and release of each of the packages, as the folders of their records say."""
    found: set[str] = set()
    for place in filter(os.path.isdir, sys.path):
        found.update(
            name
            for name in os.listdir(place)  # noqa: PTH208 - names are enough
            if name.endswith(".dist-info") and name.lower().startswith(PACKAGES)
        )
    return sorted(found)

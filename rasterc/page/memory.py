"""What the page remembers of a plant for its user: views kept under a name, and what was looked at.

It lies in the user's own state folder, never beside the user's files.
"""

from __future__ import annotations

import os
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

import msgspec
from msgspec import Struct, structs

VARIABLE = "RASTERC_STATE"
_MOST_BYTES = 4 << 20


class Remembered(Struct, frozen=True):
    """Views by their names, as the page writes them; the digest each file had when looked at."""

    views: dict[str, str] = {}
    looked: dict[str, str] = {}


class Memory:
    """The memory of one plant. What cannot be kept is not: the page works without it."""

    def __init__(self, plant_folder: Path) -> None:
        key = sha256(os.fsencode(os.path.realpath(plant_folder))).hexdigest()[:32]
        self._path = _folder() / "page" / f"{key}.json"
        self.now = self._read()

    def keep_views(self, views: dict[str, str]) -> None:
        """Keep these views, and no others."""
        self._keep(structs.replace(self.now, views=views))

    def looked(self, file: str, digest: str) -> None:
        """A file was looked at as it is."""
        if self.now.looked.get(file) != digest:
            self._keep(structs.replace(self.now, looked=self.now.looked | {file: digest}))

    def _read(self) -> Remembered:
        with suppress(OSError, msgspec.DecodeError):
            if self._path.stat().st_size <= _MOST_BYTES:
                return msgspec.json.decode(self._path.read_bytes(), type=Remembered)
        return Remembered()

    def _keep(self, now: Remembered) -> None:
        self.now = now
        part = self._path.with_suffix(f".{os.getpid()}.part")
        with suppress(OSError):
            part.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            part.write_bytes(msgspec.json.encode(now))
            part.replace(self._path)


def _folder() -> Path:
    wanted = os.environ.get(VARIABLE, "")
    if wanted:
        return Path(wanted)
    from platformdirs import user_state_path

    return user_state_path("rasterc", appauthor=False)

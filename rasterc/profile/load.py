"""Reading a line profile: every fault reported, each with its line."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from rasterc.diagnostics import Diagnostic, SourceText
from rasterc.files import read_text
from rasterc.profile.model import LineProfile
from rasterc.toml.typed import Places, Values, read_toml

MAX_PROFILE_BYTES = 64 << 10


def load_profile(path: Path | str) -> LineProfile:
    """Read and check a profile.

    Raises:
        InputError: with every fault found.
    """
    return parse_profile(profile_text(path), str(path))


def profile_text(path: Path | str) -> str:
    """The text of a profile, unchecked; raises `InputError` when there is none."""
    remedy = "a line profile is a TOML file of some hundred lines"
    text = read_text(path, MAX_PROFILE_BYTES, "the profile", remedy=remedy)
    return text.removeprefix("\ufeff")


def parse_profile(text: str, name: str = "profile.toml") -> LineProfile:
    """Read a profile from TOML text; raises `InputError` with every fault found."""
    return read_toml(SourceText(name, text), LineProfile, "profile", _rasters_given_twice)


def _rasters_given_twice(values: Values, places: Places) -> Iterator[Diagnostic]:
    rasters = values.get("raster")
    listed = rasters[:12] if isinstance(rasters, list) else []
    drops = [raster.get("drops") if isinstance(raster, dict) else None for raster in listed]
    for index, value in enumerate(drops):
        if isinstance(value, int) and value < 1000 and value in drops[:index]:
            message = f"a raster of {value} drops is given twice"
            help = "keep one [[raster]] for each number of drops"
            yield places.fault("twice", message, ("raster", index, "drops"), help)

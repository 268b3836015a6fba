"""The keys of a plant file as text."""

from __future__ import annotations

from rasterc.plant.file import PlantFile
from rasterc.toml.reference import reference as reference_of


def reference() -> str:
    """Every key with its meaning, range and default."""
    return reference_of(PlantFile, "A plant file")
